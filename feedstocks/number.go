package feedstocks

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// numberMost bounds a number in a quantity; more is a slip of the hand.
const numberMost = 1e9

// errNoNumber is text that does not begin with a number at all.
var errNoNumber = errors.New("it does not begin with a number")

// numberHint keeps the hint on how to write a quantity for those who wrote
// something else; a slip in the number itself needs none.
func numberHint(err error, hint string) string {
	if errors.Is(err, errNoNumber) {
		return hint
	}
	return ""
}

// vulgarFraction reads the fractions that have a character of their own.
func vulgarFraction(r rune) (float64, bool) {
	switch r {
	case '¼':
		return 1.0 / 4, true
	case '½':
		return 1.0 / 2, true
	case '¾':
		return 3.0 / 4, true
	case '⅓':
		return 1.0 / 3, true
	case '⅔':
		return 2.0 / 3, true
	case '⅛':
		return 1.0 / 8, true
	case '⅜':
		return 3.0 / 8, true
	case '⅝':
		return 5.0 / 8, true
	case '⅞':
		return 7.0 / 8, true
	}
	return 0, false
}

// leadingNumber reads a number off the front of text and returns what follows
// it, without the space between. It knows "14", "2.5", "2,5", ".5", "1/2",
// "1 1/2", "½", "1½" and "1 ½". A comma is a decimal comma, except that
// thousands separators are refused: "1,000" could mean either.
func leadingNumber(text string) (value float64, rest string, err error) {
	text = strings.TrimSpace(text)
	if strings.HasPrefix(text, "-") || strings.HasPrefix(text, "−") {
		return 0, "", errors.New("a quantity cannot be negative")
	}
	if whole, frac := strings.CutPrefix(text, "."); frac && whole != "" && isDigit(whole[0]) {
		text = "0" + text
	}
	value, rest, ok := leadingFraction(text)
	if ok {
		return checkNumber(value, rest)
	}
	digits, rest := leadingDigits(text)
	if digits == "" {
		return 0, "", errNoNumber
	}
	if rest != "" && (rest[0] == '.' || rest[0] == ',') {
		decimals, after := leadingDigits(rest[1:])
		switch {
		case decimals == "":
			return 0, "", errors.New("a digit is missing after the decimal " + pointName(rest[0]))
		case after != "" && (after[0] == '.' || after[0] == ','):
			return 0, "", errors.New("leave out thousands separators: write 1500 for one thousand five hundred")
		case rest[0] == ',' && len(decimals) == 3 && strings.Trim(digits, "0") != "":
			return 0, "", errors.New(`"` + digits + "," + decimals + `" could be ` + digits + decimals +
				" or " + digits + "." + decimals + ": write the one you mean")
		}
		value, err = strconv.ParseFloat(digits+"."+decimals, 64)
		if err != nil {
			return 0, "", errors.New("the number is too large")
		}
		return checkNumber(value, strings.TrimSpace(after))
	}
	value, err = strconv.ParseFloat(digits, 64)
	if err != nil {
		return 0, "", errors.New("the number is too large")
	}
	rest = strings.TrimSpace(rest)
	if part, after, ok := leadingFraction(rest); ok && part < 1 {
		return checkNumber(value+part, after)
	}
	if rest != "" && isDigit(rest[0]) {
		return 0, "", errors.New("two numbers stand side by side; leave out spaces inside a number, as in 1500")
	}
	return checkNumber(value, rest)
}

func checkNumber(value float64, rest string) (float64, string, error) {
	if math.IsNaN(value) || value > numberMost {
		return 0, "", errors.New("the number is too large")
	}
	if rest != "" && (isDigit(rest[0]) || rest[0] == '/' || rest[0] == '.' || rest[0] == ',') {
		// "1/2/3", "½3", "1 .5"
		if rest[0] != '/' || len(rest) > 1 && isDigit(rest[1]) {
			return 0, "", errors.New("the number is not clear")
		}
	}
	return value, rest, nil
}

// leadingFraction reads "1/2" or "½".
func leadingFraction(text string) (float64, string, bool) {
	first, size := utf8.DecodeRuneInString(text)
	if v, ok := vulgarFraction(first); ok {
		return v, strings.TrimSpace(text[size:]), true
	}
	top, rest := leadingDigits(text)
	rest, slash := strings.CutPrefix(strings.Replace(rest, "⁄", "/", 1), "/")
	bottom, rest := leadingDigits(rest)
	if top == "" || !slash || bottom == "" || len(top) > 4 || len(bottom) > 4 {
		return 0, "", false
	}
	a, _ := strconv.Atoi(top)
	b, _ := strconv.Atoi(bottom)
	if b == 0 {
		return 0, "", false
	}
	return float64(a) / float64(b), strings.TrimSpace(rest), true
}

func leadingDigits(text string) (digits, rest string) {
	n := 0
	for n < len(text) && isDigit(text[n]) {
		n++
	}
	return text[:n], text[n:]
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

func pointName(b byte) string {
	if b == ',' {
		return "comma"
	}
	return "point"
}

// plainNumber reads text that is nothing but a number.
func plainNumber(text string) (float64, error) {
	v, rest, err := leadingNumber(text)
	if err == nil && rest != "" {
		err = errors.New("there is something after the number")
	}
	return v, err
}

// formatNumber prints a number so that it reads back as the same number.
func formatNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
