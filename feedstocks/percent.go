package feedstocks

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// ParsePercent reads a percentage, given as a whole number, a number or text
// with or without the sign (78, 78.5, "78 %", "78"), and returns it as a
// fraction from 0 to 1. It refuses anything that is not a number from 0 to 100.
// The argument is what a TOML decoder gives: int64, float64 or string; int is
// taken too.
func ParsePercent(v any) (float64, error) {
	value, problem := percentValue(v)
	if problem != "" {
		return 0, errors.New("feedstocks: " + problem)
	}
	return value, nil
}

func percentValue(v any) (float64, string) {
	var per float64
	switch v := v.(type) {
	case int64:
		per = float64(v)
	case int:
		per = float64(v)
	case float64:
		per = v
	case string:
		bare := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(v), "%"))
		if bare == "" {
			return 0, "the number is missing"
		}
		n, err := plainNumber(bare)
		if err != nil {
			return 0, fmt.Sprintf("%q is not a percentage: %v", shorten(v), err)
		}
		per = n
	default:
		return 0, fmt.Sprintf("a percentage is a number, not %s", typeName(v))
	}
	switch {
	case math.IsNaN(per) || math.IsInf(per, 0):
		return 0, fmt.Sprintf("%g is not a number to reckon with", per)
	case per < 0:
		return 0, fmt.Sprintf("%g %% is under 0", per)
	case per > 100:
		return 0, fmt.Sprintf("%g %% is over 100", per)
	}
	return per / 100, ""
}

// typeName names a decoded TOML value for people.
func typeName(v any) string {
	switch v.(type) {
	case nil:
		return "nothing"
	case string:
		return "text"
	case bool:
		return "true or false"
	case int, int64, float64:
		return "a number"
	case []any:
		return "a list"
	case map[string]any, []map[string]any:
		return "a table"
	}
	return "a date"
}
