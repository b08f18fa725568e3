package report

import (
	"fmt"
	"io"
	"strings"

	"heapwright/feedstocks"
)

// Measured is the finding of a field test and where it went.
type Measured struct {
	Finding *feedstocks.Finding
	For     string // the material; may be empty
	Saved   *Saved // nil where it was not saved
}

// Saved says where a finding was written.
type Saved struct {
	File    string
	Table   string // the name of the [feedstock] table
	NewFile bool
	Figures []feedstocks.Figure
}

// Measurement writes a finding as text or JSON.
func Measurement(w io.Writer, m *Measured, layout Format) error {
	if layout == JSON {
		return encode(w, measurementView(m))
	}
	f := m.Finding
	title := strings.ToUpper(f.Test[:1]) + f.Test[1:]
	if m.For != "" {
		title += ": " + m.For
	}
	lines := append(wrap(title, "", "  "), "")
	var g grid
	for _, figure := range f.Figures {
		cells := []string{figure.Kind.Label(), short(outer(figure.Kind, figure.Typical)), figure.Kind.Unit(), "no range"}
		if figure.HasRange() {
			cells[3] = fmt.Sprintf("from %s to %s", short(outer(figure.Kind, figure.Low)), short(outer(figure.Kind, figure.High)))
		}
		g.add(cells...)
	}
	lines = append(lines, g.lines("  ")...)
	section := func(title string, items []string) {
		if len(items) > 0 {
			lines = append(lines, "", title)
			for _, item := range items {
				lines = append(lines, wrap(item, "  - ", "    ")...)
			}
		}
	}
	section("How", f.Steps)
	var ranges, mind []string
	for _, figure := range f.Figures {
		ranges = append(ranges, figure.Kind.Label()+": "+figure.Spread)
	}
	section("Ranges", ranges)
	for _, w := range f.Warnings {
		text := w.Text
		if w.Doubtful {
			text = "Doubtful: " + text
		}
		mind = append(mind, text)
	}
	section("Mind", mind)
	if s := m.Saved; s != nil {
		where := "in " + s.File
		if s.NewFile {
			where = "in " + s.File + ", a new file"
		}
		var labels []string
		for _, figure := range s.Figures {
			labels = append(labels, figure.Kind.String())
		}
		lines = append(lines, "")
		lines = append(lines, wrap(fmt.Sprintf("Saved: %s of %s %s.", strings.Join(labels, ", "), s.Table, where), "", "  ")...)
	}
	_, err := io.WriteString(w, strings.Join(lines, "\n")+"\n")
	return err
}

// measurementJSON is the contract of heapwright.measure/1; percentages are 0 to
// 100, bulk density kg/m3.
type measurementJSON struct {
	Schema   string         `json:"schema"`
	Test     string         `json:"test"`
	For      string         `json:"for,omitempty"`
	Figures  []measuredJSON `json:"figures"`
	Steps    []string       `json:"steps"`
	Warnings []warningJSON  `json:"warnings"`
	Saved    *savedJSON     `json:"saved"`
}

type measuredJSON struct {
	Property string `json:"property"`
	Unit     string `json:"unit"`
	Low      number `json:"low"`
	Typical  number `json:"typical"`
	High     number `json:"high"`
	Standing string `json:"standing"`
	Spread   string `json:"spread"`
}

type warningJSON struct {
	Key      string `json:"key"`
	Doubtful bool   `json:"doubtful"`
	Text     string `json:"text"`
}

type savedJSON struct {
	File      string `json:"file"`
	Feedstock string `json:"feedstock"`
	NewFile   bool   `json:"new_file"`
}

func measurementView(m *Measured) measurementJSON {
	v := measurementJSON{
		Schema: "heapwright.measure/1", Test: m.Finding.Test, For: m.For,
		Figures: []measuredJSON{}, Steps: append([]string{}, m.Finding.Steps...), Warnings: []warningJSON{},
	}
	for _, f := range m.Finding.Figures {
		v.Figures = append(v.Figures, measuredJSON{
			f.Kind.String(), f.Kind.Unit(), number(outer(f.Kind, f.Low)), number(outer(f.Kind, f.Typical)), number(outer(f.Kind, f.High)),
			f.Standing.String(), f.Spread,
		})
	}
	for _, w := range m.Finding.Warnings {
		v.Warnings = append(v.Warnings, warningJSON{w.Key, w.Doubtful, w.Text})
	}
	if s := m.Saved; s != nil {
		v.Saved = &savedJSON{s.File, s.Table, s.NewFile}
	}
	return v
}
