package report

import "heapwright/blend/pile"

// shape suggests how a volume could be put up, in the lengths of the units.
func (u Units) shape(m3 float64) pile.Suggestion {
	if u == US {
		return pile.Suggest(m3, pile.Feet)
	}
	return pile.Suggest(m3, pile.Metres)
}

// shapeJSON is how a pile could be put up; shapes that do not suit its volume
// are null.
type shapeJSON struct {
	Bay     *bayJSON     `json:"bay"`
	Heap    *heapJSON    `json:"heap"`
	Windrow *windrowJSON `json:"windrow"`
	Text    string       `json:"text"`
}

type bayJSON struct {
	WidthM number `json:"width_m"`
	DepthM number `json:"depth_m"`
	FillM  number `json:"fill_m"`
}

type heapJSON struct {
	DiameterM number `json:"diameter_m"`
	HeightM   number `json:"height_m"`
}

type windrowJSON struct {
	WidthM  number `json:"width_m"`
	HeightM number `json:"height_m"`
	LengthM number `json:"length_m"`
}

// shapeOf is nil when the volume is not known.
func shapeOf(m3 float64) *shapeJSON {
	s := pile.Suggest(m3, pile.Metres)
	if s.String() == "" {
		return nil
	}
	out := &shapeJSON{Text: s.String()}
	if b := s.Bay; b != nil {
		out.Bay = &bayJSON{number(b.WidthM), number(b.DepthM), number(b.FillM)}
	}
	if h := s.Heap; h != nil {
		out.Heap = &heapJSON{number(h.DiameterM), number(h.HeightM)}
	}
	if w := s.Windrow; w != nil {
		out.Windrow = &windrowJSON{number(w.WidthM), number(w.HeightM), number(w.LengthM)}
	}
	return out
}
