package picture

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

const (
	mixRows       = 20
	narrowestText = 40
	mixGutter     = 7 // for the figures of C:N
	mixIndent     = 2 // of all but the heading
)

// mixField is a mixing picture in characters.
type mixField struct {
	*Mix
	frame
	cells [][]rune // by row from the top, then column
	keys  []string // of the materials
}

// Text draws the picture in characters, in lines of at most width, which is 40
// at the least. It ends with a line end.
func (m *Mix) Text(width int) string {
	wide := max(width, narrowestText) - mixIndent - mixGutter - 1
	f := &mixField{Mix: m, frame: m.frame()}
	for range mixRows {
		f.cells = append(f.cells, slices.Repeat([]rune{' '}, wide))
	}
	f.all()
	for _, p := range m.Cloud {
		if ratio, beyond := f.within(p.CarbonToNitrogen); beyond == 0 && !math.IsNaN(p.CarbonToNitrogen) {
			f.put(p.Moisture, ratio, ':')
		}
	}
	f.goodRange()
	t := m.Recipe.Problem.Target
	f.put(t.Moisture.Aim, t.CarbonToNitrogen.Aim, 'X')
	f.materials()
	if r := m.Recipe; !r.Conflict {
		ratio, _ := f.within(r.Figures.CarbonToNitrogen)
		f.put(r.Figures.Moisture, ratio, '#')
	}
	lines := []string{"C:N (to one) against moisture (per cent)"}
	names := map[int]string{}
	for _, v := range f.ratioTicks(math.Pow(f.high/f.low, 1.6/(mixRows-1))) {
		if r := f.row(v); names[r] == "" {
			names[r] = fmt.Sprintf("%g", v)
		}
	}
	for r, cells := range f.cells {
		lines = append(lines, strings.TrimRight(fmt.Sprintf("%*s |%s", mixGutter-1, names[r], string(cells)), " "))
	}
	lines = append(lines, strings.Repeat(" ", mixGutter)+"+"+strings.Repeat("-", wide), f.moistures(wide))
	lines = append(lines, f.explained(wide+mixGutter)...)
	return "What can be mixed\n" + strings.Repeat(" ", mixIndent) + strings.Join(lines, "\n"+strings.Repeat(" ", mixIndent)) + "\n"
}

// column and row are where a moisture and a C:N stand; they may lie outside.
func (f *mixField) column(moisture float64) int {
	n := len(f.cells[0])
	return int(math.Round((100*moisture - f.dry) / (f.wet - f.dry) * float64(n-1)))
}

func (f *mixField) row(ratio float64) int {
	return int(math.Round(math.Log(f.high/ratio) / math.Log(f.high/f.low) * (mixRows - 1)))
}

// put sets a mark, and returns what was there; what lies outside is left out.
func (f *mixField) put(moisture, ratio float64, mark rune) rune {
	cell := f.cell(moisture, ratio)
	if cell == nil {
		return 0
	}
	was := *cell
	*cell = mark
	return was
}

// cell is the place of a moisture and a C:N; nil for one outside.
func (f *mixField) cell(moisture, ratio float64) *rune {
	col, row := f.column(moisture), f.row(ratio)
	if row < 0 || row >= mixRows || col < 0 || col >= len(f.cells[0]) {
		return nil
	}
	return &f.cells[row][col]
}

// all marks what can be mixed: at each moisture from the lowest C:N to the
// highest.
func (f *mixField) all() {
	fill := func(moisture, low, high float64) {
		col := f.column(moisture)
		if col < 0 || col >= len(f.cells[0]) || low > f.high || high < f.low {
			return
		}
		for row := f.row(min(high, f.high)); row <= f.row(max(low, f.low)); row++ {
			f.cells[row][col] = '.'
		}
	}
	for _, s := range f.Region.Slices {
		fill(s.Moisture, s.CarbonToNitrogen.Low, s.CarbonToNitrogen.High)
	}
	for col := range f.cells[0] {
		moisture := (f.dry + (f.wet-f.dry)*float64(col)/float64(len(f.cells[0])-1)) / 100
		s, ok := f.Region.At(moisture)
		if all := f.Region.Slices; !ok && f.Region.Open && moisture > all[len(all)-1].Moisture {
			s, ok = all[len(all)-1], true
		}
		if ok {
			fill(moisture, s.CarbonToNitrogen.Low, s.CarbonToNitrogen.High)
		}
	}
}

// goodRange draws the box.
func (f *mixField) goodRange() {
	t := f.Recipe.Problem.Target
	left, right := f.column(t.Moisture.Low), f.column(t.Moisture.High)
	clamped := func(ratio float64) int { r, _ := f.within(max(ratio, f.low)); return f.row(r) }
	top, bottom := clamped(t.CarbonToNitrogen.High), clamped(t.CarbonToNitrogen.Low)
	left, right = max(left, 0), min(right, len(f.cells[0])-1)
	for col := left; col <= right; col++ {
		f.cells[top][col], f.cells[bottom][col] = '-', '-'
	}
	for row := top; row <= bottom; row++ {
		for _, col := range []int{left, right} {
			f.cells[row][col] = '|'
			if row == top || row == bottom {
				f.cells[row][col] = '+'
			}
		}
	}
}

// materials marks each material on hand by a letter, a capital for those in the
// recipe, and makes the key.
func (f *mixField) materials() {
	used, unused := 'A', 'a'
	recipe := [2]int{-1, -1}
	if r := f.Recipe; !r.Conflict {
		ratio, _ := f.within(r.Figures.CarbonToNitrogen)
		recipe = [2]int{f.column(r.Figures.Moisture), f.row(ratio)}
	}
	type keyed struct {
		mark rune
		text string
	}
	var keys []keyed
	for _, s := range f.spots() {
		next := &unused
		if s.massKg > 0 {
			next = &used
		}
		mark, last := *next, 'z'
		if s.massKg > 0 {
			last = 'Z'
		}
		if mark > last {
			mark = '*'
		} else {
			*next++
		}
		text := fmt.Sprintf("%s: %s, %.0f %%", shortened(s.name, 24), figure(s.CarbonToNitrogen), 100*s.Moisture)
		switch ratio, _ := f.within(s.CarbonToNitrogen); {
		case math.IsNaN(s.CarbonToNitrogen):
			text += " (not shown)"
		default:
			where := [2]int{f.column(s.Moisture), f.row(ratio)}
			was := f.put(s.Moisture, ratio, mark)
			if i := slices.IndexFunc(keys, func(k keyed) bool { return k.mark == was && was != '*' }); i >= 0 {
				f.put(s.Moisture, ratio, was)
				text += fmt.Sprintf(" (under %c)", was)
			}
			if where == recipe {
				text += " (under #)"
			}
		}
		keys = append(keys, keyed{mark, text})
	}
	for _, k := range keys {
		f.keys = append(f.keys, fmt.Sprintf("%c %s", k.mark, k.text))
	}
}

// moistures writes the moistures under their columns.
func (f *mixField) moistures(wide int) string {
	line := slices.Repeat([]rune{' '}, wide+mixGutter+1)
	free := 0
	for _, v := range f.moistureTicks() {
		name := []rune(fmt.Sprintf("%g", v))
		at := min(mixGutter+1+f.column(v/100)-(len(name)-1)/2, len(line)-len(name))
		if at >= free {
			copy(line[at:], name)
			free = at + len(name) + 2
		}
	}
	return strings.TrimRight(string(line), " ")
}

// explained is the key, in lines of at most so many characters.
func (f *mixField) explained(wide int) []string {
	t := f.Recipe.Problem.Target
	marks := []string{"# recipe", "X aim", "box good range", ": recipe as it may turn out"}
	if f.Recipe.Conflict {
		marks = marks[1:3]
	} else if aim := f.cell(t.Moisture.Aim, t.CarbonToNitrogen.Aim); aim != nil && *aim == '#' {
		marks = append([]string{"# recipe, on the aim"}, marks[2:]...)
	}
	if len(f.Region.Slices) > 0 {
		marks = append(marks, ". all that can be mixed, "+f.water())
	}
	lines := []string{f.standing()}
	line := ""
	for _, m := range marks {
		if line != "" && len(line)+2+len(m) > wide {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += "; "
		}
		line += m
	}
	lines = append(lines, line, "CAPITALS: materials in the recipe; small letters: others on hand")
	widest := 0
	for _, k := range f.keys {
		widest = max(widest, len([]rune(k)))
	}
	columns := max(1, (wide+2)/(widest+2))
	rows := (len(f.keys) + columns - 1) / columns
	for r := range rows {
		var row strings.Builder
		for i := r; i < len(f.keys); i += rows {
			fmt.Fprintf(&row, "%-*s  ", widest, f.keys[i])
		}
		lines = append(lines, strings.TrimRight(row.String(), " "))
	}
	return lines
}
