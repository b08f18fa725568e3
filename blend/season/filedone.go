package season

import (
	"math"

	"heapwright/blend"
)

// done reads what really happened.
func (r *reader) done() {
	s, all := r.season, r.Top().Table("done")
	amounts := func(t blend.SheetTable, key string) []float64 {
		kg := make([]float64, len(s.Materials))
		for i := range kg {
			kg[i] = math.NaN()
		}
		list := t.Table(key)
		for _, name := range list.Keys() {
			m, ok := list.Material(name, name)
			if !ok {
				continue
			}
			_, known := r.byName[m.Feedstock.Name]
			i := r.index(m)
			if !known {
				kg = append(kg, math.NaN())
			}
			_, kg[i] = list.Kg(name, m)
		}
		return kg
	}
	for _, name := range all.Keys() {
		t := all.Table(name)
		t.Only("week", "bay", "put_in", "water", "arrived")
		d := Done{Name: name, Week: r.week(t, "week"), Bay: -1}
		if !t.Has("week") {
			t.Fault("", "as in week = 3", "the week is missing")
		}
		if t.Has("put_in") {
			bay := t.Text("bay")
			for j, b := range s.Bays {
				if b.Name == bay {
					d.Bay = j
				}
			}
			if d.Bay < 0 {
				t.Fault("bay", "name one of the [bay] tables", "there is no bay %q", bay)
			}
			d.Kg = amounts(t, "put_in")
			for i, v := range d.Kg {
				if math.IsNaN(v) {
					d.Kg[i] = 0
				}
			}
			if q, ok := t.Quantity("water"); ok {
				d.WaterKg, _ = q.Kg(1000)
			}
		}
		if t.Has("arrived") {
			d.ArrivedKg = amounts(t, "arrived")
		}
		if !t.Has("put_in") && !t.Has("arrived") {
			t.Fault("", `as in put_in = { leaves = "10 sacks" } with a bay, or arrived = { leaves = "6 sacks" }`, "it does not say what happened")
		}
		if d.Week >= s.from() && d.Week > 0 {
			continue // planned anew
		}
		s.Done = append(s.Done, d)
	}
	for k := range s.Done {
		for s.Done[k].Kg != nil && len(s.Done[k].Kg) < len(s.Materials) {
			s.Done[k].Kg = append(s.Done[k].Kg, 0)
		}
	}
}
