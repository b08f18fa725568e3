package feedstocks

import (
	"strings"
	"unicode/utf8"
)

// Price is an amount of money, in whatever currency the user thinks in, for
// one unit.
type Price struct {
	Amount float64
	Per    Unit
}

// String prints a price as "4.5 per sack"; [Measures.ParsePrice] reads it back.
func (p Price) String() string { return formatNumber(p.Amount) + " per " + p.Per.Name }

// ParsePrice reads a price such as "4.50 per sack", "4,50/sack" or
// "£4.50 per m3"; a currency sign is read over. The error is a [*QuantityError].
func (m Measures) ParsePrice(text string) (Price, error) {
	const hint = `write a price for one unit, as in "4.50 per sack"`
	bare := strings.TrimSpace(text)
	if r, n := utf8.DecodeRuneInString(bare); strings.ContainsRune("£$€¥", r) && r != utf8.RuneError {
		bare = bare[n:]
	}
	amount, rest, err := leadingNumber(bare)
	if err != nil {
		problem := err.Error()
		if strings.HasPrefix(strings.TrimSpace(bare), "-") {
			problem = "a price cannot be negative"
		}
		return Price{}, &QuantityError{Text: text, Problem: problem, Hint: numberHint(err, hint)}
	}
	rest, ok := cutPer(rest)
	if !ok {
		return Price{}, &QuantityError{Text: text, Problem: "it does not say what the price is for", Hint: hint}
	}
	if rest != "" && isDigit(rest[0]) {
		return Price{}, &QuantityError{Text: text, Problem: "a price is for one unit", Hint: hint}
	}
	u, err := m.unit(text, rest)
	if err != nil {
		return Price{}, err
	}
	return Price{Amount: amount, Per: u}, nil
}

// cutPer takes "per" or "/" off the front of text.
func cutPer(text string) (string, bool) {
	text = strings.TrimSpace(text)
	if after, ok := strings.CutPrefix(text, "/"); ok {
		return strings.TrimSpace(after), true
	}
	word, after, ok := strings.Cut(text, " ")
	if ok && strings.EqualFold(word, "per") {
		return strings.TrimSpace(after), true
	}
	return text, false
}
