package cli

import (
	"fmt"
	"strconv"
	"strings"
)

// parseNumber reads a plain number with a decimal point or comma. What it
// means, and whether nan may be one, is for the plan to say.
func parseNumber(text string) (float64, error) {
	text = strings.TrimSpace(text)
	if strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return 0, fmt.Errorf("%q is not a number", text)
	}
	return v, nil
}
