package feedstocks

// Property is one figure of a material with its range.
//
// Percentages are fractions from 0 to 1, bulk density is kg/m3, C:N is a plain
// ratio. Low <= Typical <= High; the three are equal where no range is known.
type Property struct {
	Low, Typical, High float64
	Cite               // of Typical
	// Range cites Low and High where they come from elsewhere than Typical;
	// the zero value means the same place.
	Range Cite
	// Shape is the form of the figure's distribution, for those who draw from
	// it: "pert", "lognormal", "normal" or "fixed"; "" for the usual one.
	Shape string
	// Note is a short remark where the figure is doubtful.
	Note string
}

// RangeCite returns the source of Low and High.
func (p Property) RangeCite() Cite {
	if p.Range == (Cite{}) {
		return p.Cite
	}
	return p.Range
}

// HasRange reports whether a range is known.
func (p Property) HasRange() bool { return p.Low < p.High }

// Measured returns a property of standing [Yours] without a range: what a
// user's own measurement, already in the package's inner unit, looks like.
func Measured(value float64) Property {
	return Property{Low: value, Typical: value, High: value, Cite: Cite{Standing: Yours}}
}
