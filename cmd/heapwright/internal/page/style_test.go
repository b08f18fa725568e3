package page

import (
	"math"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// luminance is the relative luminance of #rgb or #rrggbb (WCAG 2.2, "relative
// luminance").
func luminance(t *testing.T, colour string) float64 {
	t.Helper()
	hex := colour[1:]
	if len(hex) == 3 {
		hex = string([]byte{hex[0], hex[0], hex[1], hex[1], hex[2], hex[2]})
	}
	n, err := strconv.ParseUint(hex, 16, 32)
	require.NoError(t, err)
	part := func(shift int) float64 {
		v := float64(n>>shift&0xff) / 255
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	return 0.2126*part(16) + 0.7152*part(8) + 0.0722*part(0)
}

// contrast is (lighter + 0.05) / (darker + 0.05) (WCAG 2.2, "contrast ratio").
func contrast(t *testing.T, a, b string) float64 {
	x, y := luminance(t, a), luminance(t, b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

func TestContrastFormula(t *testing.T) {
	require.InDelta(t, 21, contrast(t, "#000", "#fff"), 1e-9)       // WCAG 2.2: the most there is
	require.InDelta(t, 4.54, contrast(t, "#767676", "#fff"), 0.005) // a grey just over 4.5, from memory
}

// TestContrast wants 4.5 to one for words and 3 to one for the edges of controls
// (WCAG 2.2, success criteria 1.4.3 and 1.4.11, level AA), in light and dark.
func TestContrast(t *testing.T) {
	css, err := assets.ReadFile("assets/page.css")
	require.NoError(t, err)
	roots := regexp.MustCompile(`(?s):root \{(.*?)\}`).FindAllStringSubmatch(string(css), -1)
	require.Len(t, roots, 3, "light, dark, print")
	for i, name := range []string{"light", "dark", "print"} {
		colours := map[string]string{"--field": "#fff"}
		for _, m := range regexp.MustCompile(`(--[a-z-]+): (#[0-9a-f]+)`).FindAllStringSubmatch(roots[i][1], -1) {
			colours[m[1]] = m[2]
		}
		for _, words := range []string{"--ink", "--faint", "--warn", "--earth"} {
			for _, on := range []string{"--ground", "--sheet", "--field", "--warn-pale"} {
				require.GreaterOrEqual(t, contrast(t, colours[words], colours[on]), 4.5, "%s: %s on %s", name, words, on)
			}
		}
		if name == "print" {
			continue
		}
		for _, edge := range []string{"--field-line", "--leaf"} {
			for _, on := range []string{"--ground", "--sheet", "--field"} {
				require.GreaterOrEqual(t, contrast(t, colours[edge], colours[on]), 3.0, "%s: %s on %s", name, edge, on)
			}
		}
	}
}
