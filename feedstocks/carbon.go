package feedstocks

import (
	"fmt"
	"maps"
	"math"
)

// CarbonBasis tells how the carbon of a material was come by.
type CarbonBasis uint8

// The ways to carbon, in the words of [Feedstock.Composition].
const (
	// FromCarbon is a carbon figure, measured or published.
	FromCarbon CarbonBasis = iota
	// FromProduct is nitrogen x C:N.
	FromProduct
	// FromAsh is (1 - ash) / 1.8.
	FromAsh
	// FromLimit is 1 / 1.8, the most carbon that the relation for ash allows,
	// where ash is not known and the product is impossibly high.
	FromLimit
	// FromPublished is the carbon of the library's figures for the material,
	// kept while the user's nitrogen or C:N replaced one of them.
	FromPublished
)

// String gives the basis in words.
func (b CarbonBasis) String() string {
	switch b {
	case FromCarbon:
		return "carbon as given"
	case FromProduct:
		return "nitrogen x C:N"
	case FromAsh:
		return "(1 - ash) / 1.8"
	case FromLimit:
		return "1 / 1.8, ash not known"
	case FromPublished:
		return "carbon of the published figures"
	}
	return "unknown basis"
}

const (
	// vsPerCarbon is kg of volatile solids in which there is 1 kg of carbon
	// (Adams et al. 1951 by way of Cornell).
	vsPerCarbon = 1.8
	// Carbon of dry matter outside these is taken for a sign of figures that
	// do not belong together. Plain carbohydrate is 40 to 44 % carbon, wood 50,
	// and ash only lowers it; under 25 % more than half is ash.
	carbonLow  = 0.25
	carbonHigh = 0.58
	// A C:N that differs by less than this share of itself from carbon /
	// nitrogen differs by rounding.
	disagreementLeast = 0.02
)

// settled is the outcome of the carbon rule.
type settled struct {
	carbon, nitrogen float64
	from             CarbonBasis
	notes            []string
}

// figures are what the carbon rule looks at.
type figures struct {
	carbon, nitrogen, ratio, ash     float64
	hasCarbon, hasNitrogen, hasRatio bool
	hasAsh                           bool
}

func figuresOf(properties map[Kind]Property) figures {
	take := func(k Kind) (float64, bool) { p, ok := properties[k]; return p.Typical, ok }
	var g figures
	g.carbon, g.hasCarbon = take(Carbon)
	g.nitrogen, g.hasNitrogen = take(Nitrogen)
	g.ratio, g.hasRatio = take(CarbonToNitrogen)
	g.ash, g.hasAsh = take(Ash)
	// A ratio that is no number over 0 cannot be divided by.
	g.hasRatio = g.hasRatio && positive(g.ratio)
	return g
}

// settleCarbon applies the carbon rule; its documentation is that of
// Composition. The second result lists what is missing when it cannot.
func (f *Feedstock) settleCarbon() (settled, []Kind) {
	all := figuresOf(f.Properties)
	if s, ok := f.settleYours(all); ok {
		return s, nil
	}
	return settlePublished(all)
}

// settleYours applies rules 1 and 2, which put the user's figures first. It
// reports false when the user gave none that bear on carbon and nitrogen.
func (f *Feedstock) settleYours(all figures) (settled, bool) {
	yours := make(map[Kind]Property, kindCount)
	for k, p := range f.Properties {
		if p.Standing == Yours {
			yours[k] = p
		}
	}
	own := figuresOf(yours)
	switch {
	case own.hasCarbon && own.hasNitrogen, own.hasCarbon && !own.hasRatio && all.hasNitrogen:
		s := asGiven(own.carbon, all.nitrogen, FromCarbon)
		s.notes = append(s.notes, disagreement(own)...)
		return s, true
	case own.hasCarbon && all.hasRatio:
		return asGiven(own.carbon, own.carbon/all.ratio, FromCarbon), true
	case own.hasNitrogen && own.hasRatio:
		return asGiven(own.nitrogen*own.ratio, own.nitrogen, FromProduct), true
	case own.hasNitrogen, own.hasRatio:
		return f.settleOneOfYours(own, all)
	}
	return settled{}, false
}

// settleOneOfYours pairs the user's nitrogen or C:N with a carbon that does
// not come out of multiplying it with somebody else's average.
func (f *Feedstock) settleOneOfYours(own, all figures) (settled, bool) {
	var s settled
	switch {
	case own.hasAsh:
		s = settled{carbon: carbonOfAsh(own.ash), from: FromAsh}
	case all.hasCarbon:
		s = settled{carbon: all.carbon, from: FromCarbon}
	default:
		before := maps.Clone(f.Properties)
		maps.Copy(before, f.published)
		was, lacks := settlePublished(figuresOf(before))
		replaced := (own.hasNitrogen && hasKind(f.published, Nitrogen)) || (own.hasRatio && hasKind(f.published, CarbonToNitrogen))
		if !replaced || len(lacks) > 0 {
			// The library had no pair: the user's figure completes it.
			return settleCompleted(own, all)
		}
		s = settled{carbon: was.carbon, from: FromPublished}
		s.notes = []string{fmt.Sprintf("carbon kept at the %s of the published figures; your own figure sets the nitrogen", percentText(was.carbon))}
	}
	if own.hasNitrogen {
		s.nitrogen = own.nitrogen
	} else {
		s.nitrogen = s.carbon / own.ratio
	}
	return s, true
}

func hasKind(m map[Kind]Property, k Kind) bool { _, ok := m[k]; return ok }

// settleCompleted handles one figure of the user's beside a published one of
// the other kind, such as the user's nitrogen for a material of which only C:N
// is published. It is rules 4 to 6 with the user's figure kept.
func settleCompleted(own, all figures) (settled, bool) {
	s, lacks := settlePublished(all)
	if len(lacks) > 0 {
		return settled{}, false
	}
	if own.hasNitrogen && s.nitrogen != own.nitrogen {
		s.nitrogen = own.nitrogen
		s.notes = []string{fmt.Sprintf("your nitrogen x the published C:N would be %s carbon, so carbon is taken as %s and the published C:N set aside",
			percentText(own.nitrogen*all.ratio), percentText(s.carbon))}
	}
	return s, true
}

// asGiven takes the user's figures as they are.
func asGiven(carbon, nitrogen float64, from CarbonBasis) settled {
	s := settled{carbon: carbon, nitrogen: nitrogen, from: from}
	switch {
	case carbon > carbonHigh:
		s.notes = append(s.notes, fmt.Sprintf("carbon comes to %s of dry matter, more than plant or animal matter holds (about %s): check nitrogen and C:N",
			percentText(carbon), percentText(carbonHigh)))
	case carbon < carbonLow && carbon > 0:
		s.notes = append(s.notes, fmt.Sprintf("carbon comes to %s of dry matter, which is low (under %s): right only where there is much ash or soil",
			percentText(carbon), percentText(carbonLow)))
	}
	return s
}

// settlePublished applies rules 3 to 6.
func settlePublished(g figures) (settled, []Kind) {
	product := g.nitrogen * g.ratio
	paired := g.hasNitrogen && g.hasRatio
	switch {
	case g.hasCarbon && g.hasNitrogen:
		return settled{carbon: g.carbon, nitrogen: g.nitrogen, from: FromCarbon, notes: disagreement(g)}, nil
	case g.hasCarbon && g.hasRatio:
		return settled{carbon: g.carbon, nitrogen: g.carbon / g.ratio, from: FromCarbon}, nil
	case paired && product >= carbonLow && product <= carbonHigh:
		return settled{carbon: product, nitrogen: g.nitrogen, from: FromProduct}, nil
	case g.hasAsh && g.hasRatio:
		c := carbonOfAsh(g.ash)
		s := settled{carbon: c, nitrogen: c / g.ratio, from: FromAsh}
		if paired {
			s.notes = []string{fmt.Sprintf("nitrogen x C:N would be %s carbon, so carbon is taken from ash (%s) and nitrogen from C:N (%s)",
				percentText(product), percentText(c), percentText(s.nitrogen))}
		} else {
			s.notes = []string{fmt.Sprintf("no nitrogen figure: carbon is taken from ash (%s) and nitrogen from C:N (%s)", percentText(c), percentText(s.nitrogen))}
		}
		return s, nil
	case g.hasAsh && g.hasNitrogen:
		c := carbonOfAsh(g.ash)
		return settled{carbon: c, nitrogen: g.nitrogen, from: FromAsh,
			notes: []string{fmt.Sprintf("no C:N figure: carbon is taken from ash (%s)", percentText(c))}}, nil
	case paired && product > carbonHigh:
		c := carbonOfAsh(0)
		return settled{carbon: c, nitrogen: c / g.ratio, from: FromLimit,
			notes: []string{fmt.Sprintf("nitrogen x C:N would be %s carbon and ash is not known, so carbon is taken as %s, the most there can be, and nitrogen from C:N (%s)",
				percentText(product), percentText(c), percentText(c/g.ratio))}}, nil
	case paired:
		return settled{carbon: product, nitrogen: g.nitrogen, from: FromProduct,
			notes: []string{fmt.Sprintf("nitrogen x C:N is only %s carbon: right if the material holds much ash or soil, and doubtful if not", percentText(product))}}, nil
	}
	var lacks []Kind
	if !g.hasNitrogen {
		lacks = append(lacks, Nitrogen)
	}
	if !g.hasRatio && !g.hasCarbon {
		lacks = append(lacks, CarbonToNitrogen)
	}
	return settled{}, lacks
}

// disagreement notes a C:N that differs from carbon / nitrogen given beside it.
func disagreement(g figures) []string {
	if !g.hasCarbon || !g.hasNitrogen || !g.hasRatio || g.nitrogen <= 0 {
		return nil
	}
	if r := g.carbon / g.nitrogen; math.Abs(r-g.ratio) > disagreementLeast*g.ratio {
		return []string{fmt.Sprintf("carbon / nitrogen is %.1f, which is used, beside a C:N figure of %.1f", r, g.ratio)}
	}
	return nil
}

// carbonOfAsh is the relation for carbon from ash, both of dry matter.
func carbonOfAsh(ash float64) float64 { return (1 - ash) / vsPerCarbon }

// percentText prints a fraction as per cent to three figures.
func percentText(fraction float64) string { return fmt.Sprintf("%.3g %%", fraction*100) }
