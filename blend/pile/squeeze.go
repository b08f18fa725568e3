package pile

import "strings"

// Moistness is what is known of the moisture of a pile today, as fractions of
// the whole weight.
type Moistness struct {
	Low, Usual, High float64
	Told             string // in what words it was told
}

// squeezes are the answers of the squeeze test. That a wrung sponge with a drop
// or two stands for 50 to 60 % was read in extension texts; the edges of the
// other bands are from memory.
func squeezes() []struct {
	word string
	Moistness
} {
	return []struct {
		word string
		Moistness
	}{
		{"dusty", Moistness{0.20, 0.35, 0.40, "dusty, will not hold a ball"}},
		{"crumbles", Moistness{0.40, 0.45, 0.50, "makes a ball that falls apart when tapped"}},
		{"holds", Moistness{0.50, 0.55, 0.60, "makes a ball that holds, with a drop or two"}},
		{"drips", Moistness{0.60, 0.62, 0.65, "drops come between the fingers"}},
		{"streams", Moistness{0.65, 0.70, 0.80, "water streams out"}},
	}
}

// SqueezeWords lists the answers of the squeeze test, from dry to wet.
func SqueezeWords() []string {
	var out []string
	for _, s := range squeezes() {
		out = append(out, s.word)
	}
	return out
}

// ParseSqueeze reads an answer of the squeeze test. A hard squeeze of a handful
// tells the moisture to some five points either way, and says nothing of fresh
// grass, which keeps its water in.
func ParseSqueeze(word string) (Moistness, bool) {
	for _, s := range squeezes() {
		if strings.EqualFold(strings.TrimSpace(word), s.word) {
			return s.Moistness, true
		}
	}
	return Moistness{}, false
}
