package picture

import (
	"bytes"
	"encoding/xml"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
	"heapwright/blend/season"
	"heapwright/feedstocks"
)

// TestSeasonPicture: the picture is well-formed XML whatever the names, and
// every bay, bed and material is named in it.
func TestSeasonPicture(t *testing.T) {
	green := feedstocks.Composition{Carbon: 0.45, Nitrogen: 0.03, Moisture: 0.7, DensityKgM3: 300, VolatileSolids: 0.9}
	brown := feedstocks.Composition{Carbon: 0.48, Nitrogen: 0.006, Moisture: 0.2, DensityKgM3: 80, VolatileSolids: 0.9}
	rye := season.NewCoverCrop("rye & vetch", time.Date(2027, 4, 20, 0, 0, 0, 0, time.UTC))
	old := season.NewCoverCrop("last year's", time.Date(2026, 10, 25, 0, 0, 0, 0, time.UTC))
	old.CutWeek, old.Arrival = 11, 0
	s := &season.Season{
		Title: `"A & B" <c>`, Start: time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), Weeks: 12, WaterKg: 500, LeastM3: 0.5,
		Materials: []blend.Material{
			{Name: "green", Feedstock: &feedstocks.Feedstock{Name: "green"}, Composition: green},
			{Name: "brown", Feedstock: &feedstocks.Feedstock{Name: "brown"}, Composition: brown},
		},
		Arrivals: []season.Arrival{{Material: 0, Week: 1, Kg: 200, Keeps: 2}, {Material: 1, Week: 1, Kg: 300}},
		Bays:     []season.Bay{{Name: "one & only", SizeM3: 2, HotWeeks: 3, CuringWeeks: 3}},
		Beds:     season.Beds{Beds: []season.Bed{{Name: "leeks", CompostM3: 5, Week: 11}}, CoverCrops: []season.CoverCrop{rye, old}},
	}
	p, err := season.Solve(t.Context(), s, season.Settings{})
	require.NoError(t, err)
	require.NotEmpty(t, p.Batches)
	var b bytes.Buffer
	require.NoError(t, Season(&b, p))
	d := xml.NewDecoder(bytes.NewReader(b.Bytes()))
	var words strings.Builder
	rects := 0
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		switch v := token.(type) {
		case xml.CharData:
			words.Write(v)
		case xml.StartElement:
			if v.Name.Local == "rect" {
				rects++
			}
		}
	}
	for _, name := range []string{`"A & B" <c>`, "one & only", "leeks", "green", "brown", "lacks", "rye & vetch", "last year's", "sow 9 Mar to 23 Mar", "cut 200 kg of green"} {
		assert.Contains(t, words.String(), name)
	}
	assert.NotContains(t, words.String(), "sow 13 Sep", "that was before the season")
	assert.GreaterOrEqual(t, rects, 1+1+len(p.Batches))
	assert.NotContains(t, b.String(), "NaN")
}
