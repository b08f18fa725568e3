package season

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// index is the number of a material in the season, which is added when it is
// new: two names of one feedstock are one stock.
func (r *reader) index(m blend.Material) int {
	key := m.Feedstock.Name
	if i, ok := r.byName[key]; ok {
		return i
	}
	m.Name = key
	r.byName[key] = len(r.season.Materials)
	r.season.Materials = append(r.season.Materials, m)
	return r.byName[key]
}

// material reads the material of an entry: its key material, or its own name.
func (r *reader) material(t blend.SheetTable, name string) (blend.Material, bool) {
	if t.Has("material") {
		text := t.Text("material")
		if text == "" {
			return blend.Material{}, false
		}
		return t.Material("material", text)
	}
	return t.Material("", name)
}

// amount reads an amount, or a list of the least, the likely and the most.
func (r *reader) amount(t blend.SheetTable, key string, m blend.Material) (q feedstocks.Quantity, low, kg, high float64) {
	list, isList := t.Value(key).([]any)
	if !isList {
		if !t.Has(key) {
			t.Fault("", `as in `+key+` = "5 barrows"`, "the %s is missing", key)
			return q, 0, 0, 0
		}
		q, kg = t.Kg(key, m)
		return q, kg, kg, kg
	}
	if len(list) != 3 {
		t.Fault(key, `write the least, the likely and the most, as in ["3 sacks", "5 sacks", "8 sacks"]`, "a range of amounts has three of them, not %d", len(list))
		return q, 0, 0, 0
	}
	var all [3]float64
	for i, v := range list {
		var one feedstocks.Quantity
		one, all[i] = t.With(key, v).Kg(key, m)
		if i == 1 {
			q = one
		}
	}
	if all[0] > all[1] || all[1] > all[2] {
		t.Fault(key, "", "the range is out of order: it goes from the least to the most")
	}
	return q, all[0], all[1], all[2]
}

// keeps reads the keeping time of an entry, or takes the usual one.
func (r *reader) keeps(t blend.SheetTable, m blend.Material) int {
	if weeks, ok := r.span(t, "keeps"); ok {
		if weeks < 1 {
			t.Fault("keeps", "leave it out for what keeps all season", "what keeps no time at all cannot be used")
			return 1
		}
		return weeks
	}
	weeks, why := usualKeeping(m.Feedstock)
	if why != "" {
		note := fmt.Sprintf("%s is taken to keep %s (%s); keeps = \"...\" says otherwise", m.Feedstock.Name, words(weeks), why)
		if slices.Contains(r.season.Notes, note) {
			return weeks
		}
		r.season.Notes = append(r.season.Notes, note)
	}
	return weeks
}

func words(weeks int) string {
	if weeks == 1 {
		return "no longer than its week"
	}
	return fmt.Sprintf("%d weeks", weeks)
}

// usualKeeping is how many weeks a material keeps when the file does not say,
// and why; 0 for the whole season.
func usualKeeping(f *feedstocks.Feedstock) (weeks int, why string) {
	switch {
	case strings.Contains(f.Name, "grass clippings"):
		return 1, "it turns airless and smells within days"
	case f.Group == "cover crop":
		return 1, "cut green it turns airless within days, a judgement"
	case f.Group == "food":
		return 1, "kitchen and food scraps rot and draw vermin, a judgement"
	case f.Group == "leaves":
		return 52, "if kept dry"
	}
	return 0, ""
}

// entry opens an [on_hand] entry, which may be an amount alone.
func entry(t blend.SheetTable, name string) blend.SheetTable {
	switch t.Value(name).(type) {
	case string, []any:
		// The amount stands in place of the table; its faults are laid there.
		return t
	}
	return t.Table(name)
}

func (r *reader) onHand() {
	s, t := r.season, r.Top().Table("on_hand")
	for _, name := range t.Keys() {
		e, key := entry(t, name), "amount"
		var m blend.Material
		ok := false
		keeps := 0
		if _, isTable := t.Value(name).(map[string]any); isTable {
			e.Only("amount", "material", "keeps")
			if m, ok = r.material(e, name); ok {
				keeps = r.keeps(e, m)
			}
		} else {
			key = name
			if m, ok = t.Material(name, name); ok {
				keeps = r.keeps(blend.SheetTable{}, m)
			}
		}
		if !ok {
			continue
		}
		q, low, kg, high := r.amount(e, key, m)
		s.Arrivals = append(s.Arrivals, Arrival{Name: name, Material: r.index(m), Week: 1, Kg: kg, LowKg: low, HighKg: high, Keeps: keeps, Amount: q})
	}
}

func (r *reader) arrivals() {
	s, all := r.season, r.Top().Table("arrival")
	for _, name := range all.Keys() {
		t := all.Table(name)
		t.Only("material", "amount", "week", "from", "to", "every", "keeps")
		m, ok := r.material(t, name)
		if !ok {
			continue
		}
		keeps := r.keeps(t, m)
		q, low, kg, high := r.amount(t, "amount", m)
		var weeks []int
		if t.Has("week") {
			if t.Has("from") || t.Has("to") || t.Has("every") {
				t.Fault("week", "write week for what comes once, or from, to and every", "week and from, to or every exclude each other")
			}
			weeks = append(weeks, r.week(t, "week"))
		} else {
			from, to, every := 1, s.Weeks, 1
			if t.Has("from") {
				from = r.week(t, "from")
			}
			if t.Has("to") {
				to = r.week(t, "to")
			}
			if v, has := r.span(t, "every"); has {
				every = max(v, 1)
			}
			if from > to {
				t.Fault("to", "", "it ends before it begins")
			}
			for w := from; w <= to; w += every {
				weeks = append(weeks, w)
			}
		}
		for _, w := range weeks {
			s.Arrivals = append(s.Arrivals, Arrival{Name: name, Material: r.index(m), Week: w, Kg: kg, LowKg: low, HighKg: high, Keeps: keeps, Amount: q})
		}
	}
}

func (r *reader) offers() {
	s, all := r.season, r.Top().Table("may_buy")
	for _, name := range all.Keys() {
		t := all.Table(name)
		t.Only("material", "price", "most_a_week", "most", "lead", "keeps")
		m, ok := r.material(t, name)
		if !ok {
			continue
		}
		o := Offer{Name: name, Material: r.index(m), Keeps: r.keeps(t, m), WeeklyKg: math.Inf(1), TotalKg: math.Inf(1)}
		o.PricePerKg, _ = t.Price("price", m)
		if t.Has("most_a_week") {
			o.Amount, o.WeeklyKg = t.Kg("most_a_week", m)
		}
		if t.Has("most") {
			q, kg := t.Kg("most", m)
			o.TotalKg = kg
			if o.Amount.Unit.Name == "" {
				o.Amount = q
			}
		}
		if !t.Has("most") && !t.Has("most_a_week") {
			t.Fault("", `as in most_a_week = "10 bales"`, "the most that can be bought is missing")
		}
		o.Lead, _ = r.span(t, "lead")
		s.Offers = append(s.Offers, o)
	}
}

// A batch without times of its own is hot for 6 weeks and cures for 8 (common
// practice, no source: two to three months of each at home, less where it is
// turned).
const (
	usualHot    = 6
	usualCuring = 8
)

func (r *reader) bays() {
	s, all := r.season, r.Top().Table("bay")
	for _, name := range all.Keys() {
		t := all.Table(name)
		t.Only("size", "hot_weeks", "curing_weeks", "cures_in_bay", "free_from")
		b := Bay{Name: name, SizeM3: t.VolumeM3("size"), HotWeeks: usualHot, CuringWeeks: usualCuring}
		if !t.Has("size") {
			t.Fault("", `as in size = "3 m3"`, "the size is missing")
			continue
		}
		if t.Has("hot_weeks") {
			b.HotWeeks, _ = r.span(t, "hot_weeks")
			if b.HotWeeks < 1 {
				t.Fault("hot_weeks", "", "a batch is hot for at least a week")
				b.HotWeeks = 1
			}
		}
		if t.Has("curing_weeks") {
			b.CuringWeeks, _ = r.span(t, "curing_weeks")
		}
		if v, ok := t.Value("cures_in_bay").(bool); ok {
			b.CuresInBay = v
		} else if t.Has("cures_in_bay") {
			t.Fault("cures_in_bay", "", "this must be true or false, not %v", t.Value("cures_in_bay"))
		}
		b.FreeFrom = r.week(t, "free_from")
		s.Bays = append(s.Bays, b)
	}
}
