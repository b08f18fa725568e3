package season

import (
	"errors"

	"heapwright/blend"
)

// beds reads the beds, covers, dressings and cover crops.
func (r *reader) beds(weeks bool) *Beds {
	out, top := &Beds{}, r.Top()
	if top.Has("frost") {
		out.Frost, _ = r.day(top, "frost")
	}
	size := func(t blend.SheetTable) (Size, bool) {
		text := t.Text("size")
		if text == "" {
			t.Fault("", `as in size = "0.75 m x 15 m x 25 mm"`, "the size is missing")
			return Size{}, false
		}
		size, err := ParseSize(text, r.Measures())
		if e, ok := errors.AsType[*SizeError](err); ok {
			t.Fault("size", e.Hint, "%q: %s", e.Text, e.Problem)
			return Size{}, false
		}
		return size, true
	}
	week := func(t blend.SheetTable) int {
		if weeks && !t.Has("week") {
			t.Fault("", "as in week = 20, or a date", "the week is missing")
			return 0
		}
		if !weeks {
			return 0
		}
		return r.week(t, "week")
	}
	all := top.Table("bed")
	for _, name := range all.Keys() {
		t := all.Table(name)
		t.Only("size", "week", "first_year")
		first, ok := t.Value("first_year").(bool)
		if t.Has("first_year") && !ok {
			t.Fault("first_year", "", "this must be true or false, not %v", t.Value("first_year"))
		}
		if s, ok := size(t); ok {
			b := NewBed(name, s, first)
			b.Week = week(t)
			out.Beds = append(out.Beds, b)
		}
	}
	all = top.Table("cover")
	for _, name := range all.Keys() {
		t := all.Table(name)
		t.Only("material", "size", "week")
		s, sized := size(t)
		m, ok := r.material(t, name)
		if !sized || !ok {
			continue
		}
		m.Name = m.Feedstock.Name
		c, err := NewCover(name, m, s)
		if err != nil {
			t.Fault("size", sizeHint, "%v", err)
			continue
		}
		c.Week = week(t)
		out.Covers = append(out.Covers, c)
	}
	all = top.Table("dressing")
	for _, name := range all.Keys() {
		t := all.Table(name)
		t.Only("material", "size")
		s, sized := size(t)
		if !sized {
			continue
		}
		material := t.Text("material")
		if material == "" {
			material = name
		}
		d, err := NewDressing(name, material, s)
		if err != nil {
			t.Fault("size", sizeHint, "%v", err)
			continue
		}
		out.Dressings = append(out.Dressings, d)
	}
	out.CoverCrops = r.coverCrops(out.Frost, weeks)
	return out
}
