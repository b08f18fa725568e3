package pile

import (
	"bytes"
	"strings"
)

// cellState is what a cell that should hold a temperature holds.
type cellState uint8

const (
	isReading cellState = iota
	isEmpty             // nothing, or a word for nothing
	isFault             // the logger says that it could not measure
	isOther             // something else
)

// parseTemperature reads a cell: "58", "58,5", "131F", "55 °C", "55 deg C". The
// unit is 'C', 'F', or 0 where the cell has none.
func parseTemperature(cell []byte) (value float64, unit byte, state cellState) {
	value, rest, ok := leadingFloat(cell)
	if ok && len(rest) == 0 {
		return value, 0, isReading
	}
	if !ok {
		return 0, 0, wordState(cell)
	}
	unit, known := unitOf(string(bytes.TrimSpace(rest)))
	if !known {
		return 0, 0, isOther
	}
	return value, unit, isReading
}

// wordState tells the words for nothing from those for a fault.
func wordState(cell []byte) cellState {
	if len(cell) == 0 {
		return isEmpty
	}
	const most = 16
	if len(cell) > most {
		return isOther
	}
	switch strings.ToLower(string(cell)) {
	case "-", "--", "---", "–", "—", ".", "na", "n/a", "n.a.", "#n/a", "nan", "null", "none", "nil", "missing", "blank", "no reading", "not read", "x":
		return isEmpty
	case "err", "error", "fault", "fail", "failed", "open", "short", "overflow", "ovfl", "ovr", "inf", "+inf", "-inf", "infinity", "invalid", "no data", "bad", "lost", "####", "#####", "######", "#value!", "#ref!", "#div/0!":
		return isFault
	}
	return isOther
}

// unitOf reads a unit of temperature; 0 and true for a bare degree sign or
// nothing at all.
func unitOf(text string) (unit byte, ok bool) {
	switch text {
	case "":
		return 0, true
	case "C", "c", "°C", "\xb0C":
		return 'C', true
	case "F", "f", "°F", "\xb0F":
		return 'F', true
	}
	const most = 24
	if len(text) > most {
		return 0, false
	}
	text = strings.NewReplacer("\xc2\xb0", "deg", "º", "deg", "\xb0", "deg", "℃", "degc", "℉", "degf", ".", "", " ", "", "(", "", ")", "", "[", "", "]", "", "_", "").Replace(text)
	text = strings.ToLower(text)
	text = strings.TrimPrefix(text, "degrees")
	text = strings.TrimPrefix(text, "degree")
	text = strings.TrimPrefix(text, "deg")
	switch text {
	case "":
		return 0, true
	case "c", "celsius", "centigrade":
		return 'C', true
	case "f", "fahrenheit":
		return 'F', true
	}
	return 0, false
}

// toCelsius turns a temperature of the unit into degrees C; 131 F is exactly
// 55 C.
func toCelsius(value float64, unit byte) float64 {
	if unit == 'F' {
		return (value - 32) * 5 / 9
	}
	return value
}

// ParseTemperature reads a temperature as a log may have it: "58", "58,5",
// "136F", "58 °C". The unit is "C", "F", or "" when the text has none.
func ParseTemperature(text string) (value float64, unit string, ok bool) {
	value, u, state := parseTemperature([]byte(strings.TrimSpace(text)))
	if u != 0 {
		unit = string(rune(u))
	}
	return value, unit, state == isReading
}
