package blend

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"heapwright/feedstocks"
)

// Problem turns the plan into numbers, with materials looked up in lib and the
// plan's own [feedstock] tables laid over it. The error joins one *[PlanError]
// for each fault of the plan.
func (p *Plan) Problem(lib *feedstocks.Library) (*Problem, error) {
	if err := p.notSeason(); err != nil {
		return nil, err
	}
	r := &reading{plan: p, lines: feedstocks.LinesOf(p.text)}
	top := r.top()
	top.only("title", "target", "pile", "measures", "on_hand", "may_get", "feedstock")
	top.text("title")
	measures := r.measures(top.table("measures"))
	problem := &Problem{
		Target: r.target(top.table("target")),
		Pile:   r.pile(top.table("pile"), measures),
	}
	if bucket, err := measures.ParseUnit("bucket"); err == nil {
		problem.Fine = bucket
	}
	lib = r.own(top.table("feedstock"), lib)
	onHand := top.table("on_hand")
	for _, name := range onHand.keys() {
		if m, ok := r.material(onHand, name, lib, measures); ok {
			problem.Materials = append(problem.Materials, m)
		}
	}
	mayGet := top.table("may_get")
	for _, name := range mayGet.keys() {
		if m, ok := r.material(mayGet, name, lib, measures); ok {
			problem.MayGet = append(problem.MayGet, m)
		}
	}
	if len(onHand.keys()) == 0 && len(r.faults) == 0 {
		r.fault([]string{"on_hand"}, `list what there is, as in leaves = "14 sacks" under [on_hand], or --have "leaves=14 sacks"`, "nothing is on hand")
	}
	if len(r.faults) == 0 {
		r.validate(problem)
	}
	if len(r.faults) > 0 {
		slices.SortStableFunc(r.faults, func(a, b error) int { return a.(*PlanError).Line - b.(*PlanError).Line })
		return nil, errors.Join(r.faults...)
	}
	return problem, nil
}

// Measures are the vessels that the plan's quantities are read with. Faults
// are reported by Problem.
func (p *Plan) Measures() feedstocks.Measures {
	r := &reading{plan: p, lines: feedstocks.LinesOf(nil)}
	return r.measures(r.top().table("measures"))
}

func (r *reading) measures(t table) feedstocks.Measures {
	measures := feedstocks.DefaultMeasures()
	for _, name := range t.keys() {
		q, ok := t.quantity(name, measures)
		if !ok {
			continue
		}
		with, err := measures.With(name, q)
		if err != nil {
			r.refuse(t.at(name), err)
			continue
		}
		measures = with
	}
	return measures
}

func (r *reading) target(t table) Target {
	t.only("carbon_to_nitrogen", "carbon_to_nitrogen_range", "moisture", "moisture_range")
	target := DefaultTarget()
	r.aim(t, "carbon_to_nitrogen", &target.CarbonToNitrogen, t.number, asNumber)
	r.aim(t, "moisture", &target.Moisture, t.percent, func(v any) (float64, bool) {
		f, err := feedstocks.ParsePercent(v)
		return f, err == nil
	})
	return target
}

// aim reads an aim and its range. An aim alone takes a range of the usual
// width about itself; a range alone takes its middle, unless the usual aim
// lies inside it.
func (r *reading) aim(t table, key string, into *Aim, one func(string) (float64, bool), element func(any) (float64, bool)) {
	usual := *into
	aim, hasAim := one(key)
	low, high, hasRange := t.pair(key+"_range", element)
	switch {
	case hasAim && hasRange:
		*into = Aim{low, aim, high}
	case hasAim:
		*into = Aim{aim - (usual.Aim - usual.Low), aim, aim + (usual.High - usual.Aim)}
		into.Low = max(into.Low, 0)
	case hasRange:
		into.Low, into.High = low, high
		if usual.Aim <= low || usual.Aim >= high {
			into.Aim = (low + high) / 2
		}
	default:
		return
	}
	if _, ok := t.values[key]; ok && !hasAim {
		*into = usual
		return
	}
	check := DefaultTarget()
	if key == "moisture" {
		check.Moisture = *into
	} else {
		check.CarbonToNitrogen = *into
	}
	if err := check.Validate(); err != nil {
		e, _ := errors.AsType[*TargetError](err)
		at := key
		if hasRange && (low >= high || !hasAim) {
			at += "_range"
		}
		hint := ""
		if hasAim && hasRange {
			hint = fmt.Sprintf("widen %s_range, or leave it out for the usual range about the aim", key)
		}
		r.fault(t.at(at), hint, "%s", e.Problem)
		*into = usual
	}
}

func (r *reading) pile(t table, measures feedstocks.Measures) Pile {
	t.only("size", "largest", "water", "mixing_shrink", "prefer", "densest", "air_at_least")
	pile := Pile{
		SizeM3:    t.volume("size", measures),
		LargestM3: t.volume("largest", measures),
		WaterKg:   math.Inf(1),
		Shrink:    DefaultShrink,
	}
	if q, ok := t.quantity("water", measures); ok {
		pile.WaterKg, _ = q.Kg(waterDensity)
	}
	if v, ok := t.values["mixing_shrink"]; ok {
		f, isNumber := asNumber(v)
		if s, isText := v.(string); isText {
			percent, err := feedstocks.ParsePercent(s)
			f, isNumber = percent, err == nil
		}
		if !isNumber || f < 0 || f >= 1 {
			r.fault(t.at("mixing_shrink"), `write a share, as in 0.2 or "20 %"`, "the share of volume lost in mixing must be from 0 to below 1, not %v", v)
		} else {
			pile.Shrink = f
		}
	}
	if text := t.text("prefer"); text != "" {
		i := slices.Index(preferNames(), text)
		if i < 0 {
			r.fault(t.at("prefer"), "it is one of "+strings.Join(preferNames(), ", "), "%q is not known", text)
		} else {
			pile.Prefer = Prefer(i)
		}
	}
	if text := t.text("densest"); text != "" {
		d, err := feedstocks.ParseDensity(text)
		if err != nil {
			r.refuse(t.at("densest"), err)
		}
		pile.DensestKgM3 = d
	}
	pile.AirAtLeast, _ = t.percent("air_at_least")
	return pile
}

// own lays the plan's feedstock tables over the library.
func (r *reading) own(t table, lib *feedstocks.Library) *feedstocks.Library {
	var all []*feedstocks.Feedstock
	for _, name := range t.keys() {
		f, err := entry(t.values[name]).Feedstock(name, r.plan.file)
		for _, fault := range feedstocks.Faults(err) {
			path := t.at(name)
			if fault.Property != "" {
				path = append(path, fault.Property)
			}
			r.fault(path, fault.Hint, "%s", fault.Problem)
		}
		if err == nil {
			all = append(all, f)
		}
	}
	return lib.Overlay(feedstocks.Collect(all))
}

func entry(value any) feedstocks.Entry {
	var e feedstocks.Entry
	_ = e.UnmarshalTOML(value) // never fails
	return e
}

// lotKeys are the keys of an [on_hand] entry that are not figures of the lot;
// in [may_get] the amount is the most that can be had.
func lotKeys() []string {
	return []string{"amount", "feedstock", "at_least", "share_at_most", "price"}
}

// material reads one [on_hand] or [may_get] entry.
func (r *reading) material(onHand table, name string, lib *feedstocks.Library, measures feedstocks.Measures) (Material, bool) {
	lot := table{r, onHand.at(name), nil}
	switch v := onHand.values[name].(type) {
	case string:
		lot.values = map[string]any{"amount": v}
	case map[string]any:
		lot.values = v
	default:
		r.fault(lot.path, `write an amount, as in "14 sacks"`, "this must be an amount in quotes, not %v", v)
		return Material{}, false
	}
	before := len(r.faults)
	known := lotKeys()
	figures := map[string]any{}
	for _, k := range feedstocks.Kinds() {
		known = append(known, k.String())
		if v, ok := lot.values[k.String()]; ok {
			figures[k.String()] = v
		}
	}
	lot.only(known...)

	m := Material{Name: name}
	kind := name
	if f := lot.text("feedstock"); f != "" {
		kind = f
	}
	if len(r.faults) > before {
		return Material{}, false
	}
	base, err := lib.Find(kind)
	if err != nil {
		unknown, _ := errors.AsType[*feedstocks.UnknownError](err)
		hint := fmt.Sprintf(`give its figures under [feedstock.%q], or look into "heapwright feedstocks"`, kind)
		if unknown != nil && unknown.Hint() != "" {
			hint = unknown.Hint()
		}
		r.fault(lot.path, hint, "no feedstock is known as %q", kind)
		return Material{}, false
	}
	m.Feedstock = r.withFigures(lot, base, figures)
	if m.Composition, err = m.Feedstock.Composition(); err != nil {
		if missing, ok := errors.AsType[*feedstocks.MissingError](err); ok {
			r.missing(lot, name, missing)
		} else {
			r.refuse(lot.path, err)
		}
		return Material{}, false
	}
	if _, ok := lot.values["amount"]; !ok {
		r.fault(lot.path, `as in { amount = "5 barrows" }`, "the amount is missing")
		return Material{}, false
	}
	amountOf, amountKey := lot, "amount"
	if _, isText := onHand.values[name].(string); isText {
		amountOf, amountKey = onHand, name
	}
	m.OnHand, m.OnHandKg = r.kg(amountOf, amountKey, m, measures)
	_, m.AtLeastKg = r.kg(lot, "at_least", m, measures)
	if share, ok := lot.percent("share_at_most"); ok {
		m.ShareAtMost = share
		if share == 0 {
			r.fault(lot.at("share_at_most"), "leave the material out instead", "a share of nothing allows none of it")
		}
	}
	if text := lot.text("price"); text != "" {
		price, err := measures.ParsePrice(text)
		if err != nil {
			r.refuse(lot.at("price"), err)
		} else if kg, err := (feedstocks.Quantity{Number: 1, Unit: price.Per}).Kg(m.Composition.DensityKgM3); err != nil {
			r.noDensity(lot.at("price"), name, feedstocks.Quantity{Number: 1, Unit: price.Per})
		} else {
			m.PricePerKg = price.Amount / kg
		}
	}
	return m, len(r.faults) == before
}

// withFigures lays the figures of one lot over its feedstock.
func (r *reading) withFigures(lot table, base *feedstocks.Feedstock, figures map[string]any) *feedstocks.Feedstock {
	if len(figures) == 0 {
		return base
	}
	own, err := entry(figures).Feedstock(base.Name, r.plan.file)
	for _, fault := range feedstocks.Faults(err) {
		path := lot.path
		if fault.Property != "" {
			path = lot.at(fault.Property)
		}
		r.fault(path, fault.Hint, "%s", fault.Problem)
	}
	if err != nil {
		return base
	}
	for _, k := range feedstocks.Kinds() {
		if p, ok := own.Properties[k]; ok {
			base = base.With(k, p)
		}
	}
	return base
}

// missing says which figures a material lacks and how to come by them.
func (r *reading) missing(lot table, name string, e *feedstocks.MissingError) {
	_, hint, _ := strings.Cut(strings.TrimPrefix(e.Error(), "feedstocks: "), ": no figure for ")
	what, how, _ := strings.Cut(hint, ": ")
	if slices.Contains(e.Kinds, feedstocks.Moisture) {
		how += fmt.Sprintf(`; write it as moisture = "... %%" under [feedstock.%q], or let "heapwright measure moisture" work it out and save it`, e.Feedstock)
	}
	r.fault(lot.path, how, "the library has no %s for %s", what, name)
}

// kg reads a quantity into kg through the material's bulk density.
func (r *reading) kg(t table, key string, m Material, measures feedstocks.Measures) (feedstocks.Quantity, float64) {
	q, ok := t.quantity(key, measures)
	if !ok {
		return q, 0
	}
	kg, err := q.Kg(m.Composition.DensityKgM3)
	if err != nil {
		r.noDensity(t.at(key), m.Name, q)
		return q, 0
	}
	return q, kg
}

func (r *reading) noDensity(path []string, name string, q feedstocks.Quantity) {
	r.fault(path, fmt.Sprintf(`give the amount by weight, or weigh a full bucket and write bulk_density = "... kg/m3" under [feedstock.%q]`, name),
		"%s cannot become a weight: the bulk density of %s is not known", q, name)
}

// validate checks the problem as a whole, and places what it can.
func (r *reading) validate(p *Problem) {
	err := p.Validate()
	if err == nil {
		return
	}
	if e, ok := errors.AsType[*ProblemError](err); ok {
		var path []string
		switch {
		case e.Material != "":
			path = []string{"on_hand", e.Material}
		case e.Key != "":
			path = []string{"pile", e.Key}
		}
		r.fault(path, e.Hint, "%s", e.Problem)
		return
	}
	r.fault([]string{"target"}, "", "%s", strings.TrimPrefix(err.Error(), "blend: "))
}
