package feedstocks

import (
	"cmp"
	"fmt"
	"math"
)

// Basis tells what the figures of a laboratory sheet are shares of.
type Basis uint8

const (
	// BasisUnsaid is a sheet whose basis is not known; nothing can be had of it
	// but moisture, C:N and bulk density.
	BasisUnsaid Basis = iota
	// DryBasis is a share of the dry matter.
	DryBasis
	// AsReceived is a share of the sample as it came, water and all.
	AsReceived
)

// ParseBasis reads "dry" or "as received".
func ParseBasis(text string) (Basis, bool) {
	switch nameKey(text) {
	case "dry", "dry matter", "dry basis":
		return DryBasis, true
	case "as received", "received", "as is", "wet", "fresh":
		return AsReceived, true
	}
	return BasisUnsaid, false
}

// Sheet is a laboratory sheet: figures that it does not have are not Given.
// Shares of mass are fractions on its basis; moisture is always wet basis.
type Sheet struct {
	Basis            Basis
	Moisture         Reported
	DryMatter        Reported // instead of moisture
	Carbon, Nitrogen Reported // total
	CarbonToNitrogen Reported
	Ash              Reported
	OrganicMatter    Reported // loss on ignition, instead of ash
	Phosphorus       Reported // elemental P, or:
	Phosphate        Reported // P2O5
	Potassium        Reported // elemental K, or:
	Potash           Reported // K2O
	BulkDensityKgM3  float64  // as received; 0 when not given
}

// What a laboratory figure is taken to be good to, as a 90 % range: 1.645 times
// the standard deviations of nominally identical builds (moisture 0.7 points;
// nitrogen 3.8 %; Liang 2006 by way of a later compilation), and 1.645 times 3
// % for carbon, the median error of mass balances. For the rest, 10 % of the
// figure: common practice, no source.
const (
	sheetMoisture = 1.645 * 0.007
	sheetNitrogen = 1.645 * 0.038
	sheetCarbon   = 1.645 * 0.03
	sheetOther    = 0.10
)

// Carbon outside these shares of the volatile solids is unusual (Adams et al.
// 1951 by way of Cornell: 45 to 60 %).
const (
	carbonOfVSLow  = 0.45
	carbonOfVSHigh = 0.60
)

// nitrogenHigh is more nitrogen than protein holds, of dry matter.
const nitrogenHigh = 0.17

// Figures turns a sheet into figures on the bases of this package, and checks
// them against one another. Carbon, nitrogen and C:N that do not agree within
// their rounding are an error that shows the three, and so is a share of more
// than the whole; carbon that is unusual beside ash or organic matter is a
// warning. Where two of carbon, nitrogen and C:N are there the third is worked
// out. The error is a [*TestError].
func (s Sheet) Figures() (*Finding, error) {
	r := &sheetReading{sheet: s, finding: &Finding{Test: "laboratory sheet"}, dry: 1}
	for _, step := range []func() error{r.moisture, r.basis, r.carbonAndNitrogen, r.ash, r.nutrients, r.density} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	if len(r.finding.Figures) == 0 {
		return nil, &TestError{"", "the sheet has no figures", `give at least one, as in nitrogen "2.4 %"`}
	}
	inKindOrder(r.finding.Figures)
	return r.finding, nil
}

// sheetReading works through a sheet.
type sheetReading struct {
	sheet   Sheet
	finding *Finding
	dry     float64 // kg of dry matter in what the sheet's shares are shares of
	carbon  Reported
}

func (r *sheetReading) moisture() error {
	m, dm := r.sheet.Moisture, r.sheet.DryMatter
	if err := cmp.Or(m.badShare("moisture"), dm.badShare("dry matter")); err != nil {
		return err
	}
	if m.Given && dm.Given {
		if math.Abs(m.Value+dm.Value-1) > (m.Step+dm.Step)/2+rounding {
			return &TestError{"moisture", fmt.Sprintf("moisture %s %% and dry matter %s %% do not make 100 %%", digits(100*m.Value), digits(100*dm.Value)), "see which of the two was read wrongly"}
		}
	} else if dm.Given {
		m = Reported{1 - dm.Value, dm.Step, true}
		r.finding.step("moisture = 100 - dry matter = 100 - %s = %s %%", digits(100*dm.Value), digits(100*m.Value))
	}
	if !m.Given {
		return nil
	}
	if m.Value >= 1 {
		return &TestError{"moisture", fmt.Sprintf("%g %% leaves no dry matter", 100*m.Value), "moisture here is on wet basis, under 100 %"}
	}
	r.sheet.Moisture = m
	r.add(Moisture, m, sheetMoisture, "1.2 points either way, as identical builds were found to repeat (standard deviation 0.7)")
	return nil
}

// rounding is what is left to floating point where figures are compared.
const rounding = 1e-9

// basis settles what the shares must be divided by.
func (r *sheetReading) basis() error {
	s := &r.sheet
	given := false
	for _, share := range []struct {
		name string
		Reported
	}{
		{"carbon", s.Carbon}, {"nitrogen", s.Nitrogen}, {"ash", s.Ash}, {"organic matter", s.OrganicMatter},
		{"phosphorus", s.Phosphorus}, {"phosphate", s.Phosphate}, {"potassium", s.Potassium}, {"potash", s.Potash},
	} {
		if err := share.badShare(share.name); err != nil {
			return err
		}
		given = given || share.Given
	}
	switch {
	case !given:
	case s.Basis == BasisUnsaid:
		return &TestError{"basis", "a sheet gives its figures on dry matter or as received, and this must be told", "look for the words dry basis, DM, as is or as received on it"}
	case s.Basis == AsReceived && !s.Moisture.Given:
		return &TestError{"moisture", "figures as received need the moisture of the same sheet", "give moisture or dry matter"}
	case s.Basis == AsReceived:
		r.dry = 1 - s.Moisture.Value
		r.finding.step("as received to dry matter: divide by 1 - moisture = %s", digits(r.dry))
	}
	return nil
}

// toDry brings a share onto dry matter.
func (r *sheetReading) toDry(name string, v Reported) (Reported, error) {
	d := v.scaled(1 / r.dry)
	if d.low() > 1+rounding {
		return d, &TestError{name, fmt.Sprintf("%s %% as received would be %s %% of the dry matter", digits(100*v.Value), digits(100*d.Value)), "see whether the sheet is on dry matter after all"}
	}
	if v.Given && r.dry != 1 {
		r.finding.step("%s: %s / %s = %s %% of dry matter", name, digits(100*v.Value), digits(r.dry), digits(100*d.Value))
	}
	return d, nil
}

func (r *sheetReading) carbonAndNitrogen() error {
	s, f := r.sheet, r.finding
	c, err := r.toDry("carbon", s.Carbon)
	if err != nil {
		return err
	}
	n, err := r.toDry("nitrogen", s.Nitrogen)
	if err != nil {
		return err
	}
	ratio := s.CarbonToNitrogen
	if ratio.Given && (!positive(ratio.Value) || ratio.Value > ratioMost || !(ratio.Step >= 0)) {
		return &TestError{"C:N", fmt.Sprintf("%g is not a ratio", ratio.Value), ""}
	}
	if c.Given && n.Given && ratio.Given {
		if err := r.agree(c, n, ratio); err != nil {
			return err
		}
	}
	const same = "as identical builds were found to repeat (standard deviation 3.8 % of it)"
	const balance = "5 % either way, from the 3 % that mass balances were found to err by"
	worked := math.Hypot(sheetCarbon, sheetNitrogen)
	switch {
	case c.Given && n.Given && n.Value > 0 && c.Value > 0:
		ratio = Exactly(c.Value / n.Value)
		f.step("C:N = carbon / nitrogen = %s / %s = %s", digits(100*c.Value), digits(100*n.Value), digits(ratio.Value))
		r.add(CarbonToNitrogen, ratio, worked*ratio.Value, "from those of carbon and nitrogen, in quadrature")
	case n.Given && ratio.Given && n.Value > 0:
		c = Exactly(n.Value * ratio.Value)
		f.step("carbon = nitrogen x C:N = %s x %s = %s %% of dry matter", digits(100*n.Value), digits(ratio.Value), digits(100*c.Value))
		if c.Value > 1 {
			return &TestError{"C:N", fmt.Sprintf("nitrogen %s %% x C:N %s would be %s %% carbon, more than there is dry matter", digits(100*n.Value), digits(ratio.Value), digits(100*c.Value)), "see which was read wrongly, and on which basis nitrogen is"}
		}
		r.add(CarbonToNitrogen, ratio, worked*ratio.Value, "from those of carbon and nitrogen, in quadrature")
	case c.Given && ratio.Given:
		n = Exactly(c.Value / ratio.Value)
		f.step("nitrogen = carbon / C:N = %s / %s = %s %% of dry matter", digits(100*c.Value), digits(ratio.Value), digits(100*n.Value))
		r.add(CarbonToNitrogen, ratio, worked*ratio.Value, "from those of carbon and nitrogen, in quadrature")
	case ratio.Given:
		r.add(CarbonToNitrogen, ratio, worked*ratio.Value, "from those of carbon and nitrogen, in quadrature")
	}
	if c.Given {
		r.add(Carbon, c, sheetCarbon*c.Value, balance)
		if c.Value > carbonHigh || c.Value < carbonLow {
			f.doubt("carbon-unusual", "Carbon of %s %% of dry matter is outside %.0f to %.0f %%, where composting materials lie unless they hold much soil or ash: see the basis and the figures.", digits(100*c.Value), 100*carbonLow, 100*carbonHigh)
		}
	}
	if n.Given {
		r.add(Nitrogen, n, sheetNitrogen*n.Value, "6 % of it either way, "+same)
		if n.Value > nitrogenHigh {
			f.doubt("nitrogen-unusual", "Nitrogen of %s %% of dry matter is more than protein holds: right for a fertiliser, not for a material.", digits(100*n.Value))
		}
	}
	r.carbon = c
	return nil
}

// agree refuses three figures that cannot be roundings of one truth.
func (r *sheetReading) agree(c, n, ratio Reported) error {
	low, high := c.low()/n.high(), math.Inf(1)
	if n.low() > 0 {
		high = c.high() / n.low()
	}
	if low <= ratio.high()*(1+rounding) && high >= ratio.low()*(1-rounding) {
		r.finding.step("carbon %s %% / nitrogen %s %% lies from %s to %s with their rounding; the sheet's C:N of %s agrees",
			digits(100*c.Value), digits(100*n.Value), digits(low), digits(high), digits(ratio.Value))
		return nil
	}
	return &TestError{"carbon, nitrogen and C:N", fmt.Sprintf("carbon %s %% / nitrogen %s %% is %s (%s to %s with their rounding), and the sheet says C:N %s",
		digits(100*c.Value), digits(100*n.Value), digits(c.Value/n.Value), digits(low), digits(high), digits(ratio.Value)),
		"the three contradict one another: see which was read wrongly, and whether all are on one basis; or leave one out"}
}

func (r *sheetReading) ash() error {
	ash, err := r.toDry("ash", r.sheet.Ash)
	if err != nil {
		return err
	}
	organic, err := r.toDry("organic matter", r.sheet.OrganicMatter)
	if err != nil {
		return err
	}
	f := r.finding
	switch {
	case ash.Given && organic.Given:
		if math.Abs(ash.Value+organic.Value-1) > (ash.Step+organic.Step)/2+rounding {
			return &TestError{"ash", fmt.Sprintf("ash %s %% and organic matter %s %% of dry matter do not make 100 %%", digits(100*ash.Value), digits(100*organic.Value)), "see which was read wrongly, and on which basis each is"}
		}
	case organic.Given:
		ash = Reported{max(1-organic.Value, 0), organic.Step, true}
		f.step("ash = 100 - organic matter = 100 - %s = %s %% of dry matter", digits(100*organic.Value), digits(100*ash.Value))
	case !ash.Given:
		return nil
	}
	r.add(Ash, ash, sheetOther*ash.Value, "10 % of it either way (common practice, no source)")
	volatile := 1 - ash.Value
	f.step("carbon expected of it = (100 - ash) / 1.8 = (100 - %s) / 1.8 = %s %% of dry matter, good to a tenth", digits(100*ash.Value), digits(100*carbonOfAsh(ash.Value)))
	c := r.carbon
	switch {
	case !c.Given:
	case c.low() > volatile+ash.Step/2+rounding:
		return &TestError{"carbon", fmt.Sprintf("carbon %s %% and ash %s %% of dry matter are more than all of it", digits(100*c.Value), digits(100*ash.Value)), "see which was read wrongly, and on which basis each is"}
	case volatile > 0 && (c.Value < carbonOfVSLow*volatile || c.Value > carbonOfVSHigh*volatile):
		f.doubt("carbon-beside-ash", "Carbon is %.0f %% of the organic matter (100 - ash); 45 to 60 %% is usual, and (100 - ash) / 1.8 would be %s %%: see the basis of both.", 100*c.Value/volatile, digits(100*carbonOfAsh(ash.Value)))
	default:
		f.step("the sheet's carbon, %s %%, is %.0f %% of the organic matter: usual (45 to 60 %%)", digits(100*c.Value), 100*c.Value/volatile)
	}
	return nil
}

// nutrients brings phosphorus and potassium to the oxides.
func (r *sheetReading) nutrients() error {
	s := r.sheet
	for _, pair := range []struct {
		kind            Kind
		element, oxide  Reported
		elementName     string
		oxideOf         func(float64) float64
		formula, symbol string
	}{
		{Phosphate, s.Phosphorus, s.Phosphate, "phosphorus", PhosphateFromPhosphorus, "P2O5", "P"},
		{Potash, s.Potassium, s.Potash, "potassium", PotashFromPotassium, "K2O", "K"},
	} {
		element, err := r.toDry(pair.elementName, pair.element)
		if err != nil {
			return err
		}
		oxide, err := r.toDry(pair.kind.String(), pair.oxide)
		if err != nil {
			return err
		}
		factor := pair.oxideOf(1)
		switch {
		case element.Given && oxide.Given:
			if gap := math.Abs(factor*element.Value - oxide.Value); gap > (factor*element.Step+oxide.Step)/2+rounding {
				return &TestError{pair.elementName, fmt.Sprintf("%s %% %s is %s %% %s, and the sheet says %s %%", digits(100*element.Value), pair.symbol, digits(100*factor*element.Value), pair.formula, digits(100*oxide.Value)),
					"see which was read wrongly, or give one of the two"}
			}
		case element.Given:
			oxide = element.scaled(factor)
			if oxide.Value > 1 {
				return &TestError{pair.elementName, fmt.Sprintf("%s %% %s would be over 100 %% %s", digits(100*element.Value), pair.symbol, pair.formula), ""}
			}
			r.finding.step("%s = %s x %s = %s x %s = %s %% of dry matter", pair.formula, pair.symbol, digits(factor), digits(100*element.Value), digits(factor), digits(100*oxide.Value))
		case !oxide.Given:
			continue
		}
		r.add(pair.kind, oxide, sheetOther*oxide.Value, "10 % of it either way (common practice, no source)")
	}
	return nil
}

func (r *sheetReading) density() error {
	d := r.sheet.BulkDensityKgM3
	if d == 0 {
		return nil
	}
	if problem := badDensity(d); problem != "" {
		return &TestError{"bulk density", problem, ""}
	}
	r.add(BulkDensity, Exactly(d), bucketSingle*d, "10 % of it either way, as for one bucket (common practice, no source)")
	return nil
}

// add takes a figure with its half range, or with its rounding where that is
// wider.
func (r *sheetReading) add(k Kind, v Reported, half float64, spread string) {
	if v.Step/2 > half {
		half, spread = v.Step/2, "the rounding of the sheet"
	}
	low, high := v.Value-half, v.Value+half
	switch {
	case k == Moisture:
		low, high = max(low, 0), max(min(high, moistureMost), v.Value)
	case k.Percent():
		low, high = max(low, 0), min(high, 1)
	case k == CarbonToNitrogen:
		low, high = max(low, v.Value/2), min(high, max(ratioMost, v.Value))
	}
	r.finding.figure(k, low, v.Value, high, spread)
}
