package feedstocks

import (
	"cmp"
	"slices"
	"strings"
	"unicode"
)

// nameKey brings the spellings of one name together: upper and lower case,
// spaces, hyphens and underscores, singular and plural.
func nameKey(name string) string {
	words := nameWords(name)
	for i, w := range words {
		words[i] = singular(w)
	}
	return strings.Join(words, " ")
}

func nameWords(name string) []string {
	return strings.FieldsFunc(strings.ToLower(name), func(r rune) bool {
		return unicode.IsSpace(r) || r == '-' || r == '_' || r == ',' || r == '\''
	})
}

// singular turns an English plural into its singular. It is a rule of thumb:
// both sides of a comparison pass through it, so that a wrong singular does no
// harm as long as it is always the same one.
func singular(w string) string {
	low := strings.ToLower(w)
	cut := func(n int) string { return w[:len(w)-n] }
	switch {
	case len(low) != len(w): // letters whose cases differ in length
		return w
	case low == "leaves":
		return "leaf"
	case low == "feet":
		return "foot"
	case len(w) < 4, hasAnySuffix(low, "ss", "us", "is"):
		return w
	case strings.HasSuffix(low, "ies") && len(w) > 4:
		return cut(3) + "y"
	case hasAnySuffix(low, "sses", "shes", "ches", "xes", "zes", "oes"):
		return cut(2)
	case strings.HasSuffix(low, "s"):
		return cut(1)
	}
	return w
}

// plural turns an English singular into its plural, changing the last word.
func plural(w string) string {
	switch {
	case w == "":
		return ""
	case strings.HasSuffix(w, "foot"):
		return strings.TrimSuffix(w, "foot") + "feet"
	case hasAnySuffix(w, "s", "sh", "ch", "x", "z"):
		return w + "es"
	case strings.HasSuffix(w, "y") && !hasAnySuffix(w, "ay", "ey", "oy", "uy"):
		return strings.TrimSuffix(w, "y") + "ies"
	}
	return w + "s"
}

func hasAnySuffix(s string, suffixes ...string) bool {
	return slices.ContainsFunc(suffixes, func(x string) bool { return strings.HasSuffix(s, x) })
}

const (
	nearestMost = 3  // suggestions offered at most
	nearestLong = 60 // names longer than this, in runes, are compared by their start
)

// Nearest returns up to three of the names in among that look like name, the
// likeliest first, for a "did you mean". Slips of the finger count first
// (letters left out, added, changed or swapped, up to a third of the name);
// then names that share a whole word of three letters or more with it, or that
// hold all of it, spaces left out. The result is nil when nothing is near. Equal distances keep alphabetical order.
func Nearest(name string, among []string) []string {
	found := rankNear(name, among)
	return found[:min(nearestMost, len(found))]
}

// rankNear is Nearest without the limit on their number.
func rankNear(name string, among []string) []string {
	type near struct {
		name string
		rank int
	}
	want := clip(nameKey(name))
	if len(want) == 0 {
		return nil
	}
	wantWords := strings.Fields(string(want))
	var found []near
	for _, candidate := range among {
		if slices.ContainsFunc(found, func(n near) bool { return n.name == candidate }) {
			continue
		}
		have := clip(nameKey(candidate))
		limit := max(1, max(len(want), len(have))/3)
		if len(want) <= 2 {
			limit = 1
		}
		// A slip in the plural's ending can make another singular of it, so
		// the names are compared as typed too.
		d := min(editDistance(want, have), editDistance(clip(strings.ToLower(name)), clip(strings.ToLower(candidate))))
		if d <= limit {
			found = append(found, near{candidate, d})
			continue
		}
		shared := 0
		for w := range strings.FieldsSeq(string(have)) {
			if len([]rune(w)) >= 3 && w != "and" && w != "with" && slices.Contains(wantWords, w) {
				shared++
			}
		}
		if inside := strings.ReplaceAll(string(want), " ", ""); shared == 0 && len(inside) >= 5 && strings.Contains(strings.ReplaceAll(string(have), " ", ""), inside) {
			shared = 1 // woodchips in hardwood chips
		}
		if shared > 0 {
			// Behind every slip of the finger; more shared words first,
			// then the shorter name.
			found = append(found, near{candidate, 1000 - 100*min(shared, 5) + len(have)})
		}
	}
	slices.SortStableFunc(found, func(a, b near) int {
		return cmp.Or(cmp.Compare(a.rank, b.rank), cmp.Compare(a.name, b.name))
	})
	var names []string
	for _, n := range found {
		names = append(names, n.name)
	}
	return names
}

func clip(s string) []rune {
	r := []rune(s)
	return r[:min(len(r), nearestLong)]
}

// editDistance counts the letters to add, drop, change or swap with a
// neighbour (optimal string alignment).
func editDistance(a, b []rune) int {
	two, one, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range one {
		one[j] = j
	}
	for i := range a {
		row[0] = i + 1
		for j := range b {
			change := one[j]
			if a[i] != b[j] {
				change++
			}
			row[j+1] = min(one[j+1]+1, row[j]+1, change)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], two[j-1]+1)
			}
		}
		two, one, row = one, row, two
	}
	return one[len(b)]
}

// didYouMean words a suggestion, or gives "" when there is none.
func didYouMean(names []string) string {
	switch len(names) {
	case 0:
		return ""
	case 1:
		return "did you mean " + names[0] + "?"
	}
	return "did you mean " + strings.Join(names[:len(names)-1], ", ") + " or " + names[len(names)-1] + "?"
}
