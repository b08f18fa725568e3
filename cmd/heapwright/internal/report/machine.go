package report

import (
	"encoding/csv"
	"encoding/json"
	"io"
	"strconv"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// number is a float64 that JSON shows as null when it is not known.
type number float64

// MarshalJSON implements json.Marshaler.
func (n number) MarshalJSON() ([]byte, error) {
	if !known(float64(n)) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// recipeJSON is the contract of heapwright.mix/1 and heapwright.check/1;
// DEVELOPERS.md describes it. Fields may be added; none changes its meaning
// without a new number.
type recipeJSON struct {
	Schema           string           `json:"schema"`
	Title            string           `json:"title,omitempty"`
	Status           string           `json:"status"`
	CarbonToNitrogen number           `json:"carbon_to_nitrogen"`
	MoisturePercent  number           `json:"moisture_percent"`
	Distance         number           `json:"distance"`
	MassKg           number           `json:"mass_kg"`
	VolumeM3         number           `json:"volume_m3"`
	LooseVolumeM3    number           `json:"loose_volume_m3"`
	WaterKg          number           `json:"water_kg"`
	BulkDensity      number           `json:"bulk_density_kg_m3"`
	FreeAirSpace     number           `json:"free_air_space_percent"`
	VolatileSolids   number           `json:"volatile_solids_percent"`
	DryMatterKg      number           `json:"dry_matter_kg"`
	Cost             number           `json:"cost"`
	CarbonKg         number           `json:"carbon_kg"`
	NitrogenKg       number           `json:"nitrogen_kg"`
	PhosphatePercent number           `json:"phosphate_percent"`
	PotashPercent    number           `json:"potash_percent"`
	Biodegradable    number           `json:"biodegradable_carbon_to_nitrogen"`
	WaterRatio       number           `json:"water_ratio"`
	FinishedVolumeM3 [3]number        `json:"finished_volume_m3"`
	FinishedMassKg   [3]number        `json:"finished_mass_kg"`
	Shape            *shapeJSON       `json:"shape"`
	Target           targetJSON       `json:"target"`
	Ingredients      []ingredientJSON `json:"ingredients"`
	Whole            bool             `json:"whole"`
	ExactDistance    number           `json:"exact_distance"`
	Reach            *reachJSON       `json:"reach"`
	Conflict         []statementJSON  `json:"conflict"`
	Limits           []limitJSON      `json:"limits"`
	Idle             []string         `json:"idle"`
	Repairs          []repairJSON     `json:"repairs"`
	Chance           *chanceJSON      `json:"chance"`
	Breaches         []string         `json:"breaches"`
	Cautions         []cautionJSON    `json:"cautions"`
	Notes            []string         `json:"notes"`
}

type targetJSON struct {
	CarbonToNitrogen aimJSON `json:"carbon_to_nitrogen"`
	MoisturePercent  aimJSON `json:"moisture_percent"`
}

type aimJSON struct {
	Low  number `json:"low"`
	Aim  number `json:"aim"`
	High number `json:"high"`
}

type ingredientJSON struct {
	Name         string        `json:"name"`
	Feedstock    string        `json:"feedstock"`
	MassKg       number        `json:"mass_kg"`
	VolumeM3     number        `json:"volume_m3"`
	SharePercent number        `json:"share_percent"`
	Measures     []measureJSON `json:"measures"`
	LeftKg       number        `json:"left_kg"`
}

type measureJSON struct {
	Count   number `json:"count"`
	Measure string `json:"measure"`
}

type reachJSON struct {
	CarbonToNitrogen [2]number `json:"carbon_to_nitrogen"`
	MoisturePercent  [2]number `json:"moisture_percent"`
}

type statementJSON struct {
	Key      string `json:"key"`
	Material string `json:"material,omitempty"`
	Text     string `json:"text"`
}

type limitJSON struct {
	statementJSON
	Change   string `json:"change"`
	VolumeM3 number `json:"volume_m3"` // by which the pile grows
	MassKg   number `json:"mass_kg"`   // by which it grows, added water aside
	Distance number `json:"distance"`  // by which the distance falls
}

type repairJSON struct {
	Additions        []additionJSON `json:"additions"`
	AllAdditions     []additionJSON `json:"all_additions"` // that let all on hand go in; empty where none do
	Cost             number         `json:"cost"`
	BulkM3           number         `json:"bulk_m3"`
	Status           string         `json:"status"` // with the additions on hand
	CarbonToNitrogen number         `json:"carbon_to_nitrogen"`
	MoisturePercent  number         `json:"moisture_percent"`
	VolumeM3         number         `json:"volume_m3"`
}

type additionJSON struct {
	Name      string        `json:"name"`
	Feedstock string        `json:"feedstock"`
	MassKg    number        `json:"mass_kg"`
	Measures  []measureJSON `json:"measures"`
}

// reasons fills in the reasons.
func (out *recipeJSON) reasons(why *blend.Reasons) {
	statement := func(s blend.Statement) statementJSON { return statementJSON{s.Key, s.Material, s.Text} }
	if r := why.Reach; r != nil {
		out.Reach = &reachJSON{
			[2]number{number(r.CarbonToNitrogen.Low), number(r.CarbonToNitrogen.High)},
			[2]number{number(100 * r.Moisture.Low), number(100 * r.Moisture.High)},
		}
	}
	for _, s := range why.Conflict {
		out.Conflict = append(out.Conflict, statement(s))
	}
	for _, l := range why.Limits {
		out.Limits = append(out.Limits, limitJSON{statement(l.Statement), l.Change, number(l.VolumeM3), number(l.MassKg), number(l.Distance)})
	}
	out.Idle = append(out.Idle, why.Idle...)
	for _, r := range why.Repairs {
		f := r.Recipe.Figures
		repair := repairJSON{
			Cost: number(r.Cost), BulkM3: number(r.BulkM3), Status: r.Recipe.Status.String(),
			CarbonToNitrogen: number(f.CarbonToNitrogen), MoisturePercent: number(100 * f.Moisture), VolumeM3: number(f.VolumeM3),
		}
		repair.Additions, repair.AllAdditions = additionsJSON(r.Additions), additionsJSON(r.AllAdditions)
		out.Repairs = append(out.Repairs, repair)
	}
}

func additionsJSON(additions []blend.Addition) []additionJSON {
	out := []additionJSON{}
	for _, a := range additions {
		out = append(out, additionJSON{
			a.Material.Name, a.Material.Feedstock.Name, number(a.AmountKg),
			measuresJSON([]feedstocks.Quantity{a.Material.Measured(a.AmountKg)}),
		})
	}
	return out
}

func measuresJSON(amounts []feedstocks.Quantity) []measureJSON {
	out := []measureJSON{}
	for _, q := range amounts {
		out = append(out, measureJSON{number(q.Number), q.Unit.Count(q.Number)})
	}
	return out
}

type cautionJSON struct {
	Key  string `json:"key"`
	Text string `json:"text"`
}

func writeJSON(w io.Writer, a *Answer, o Options) error {
	r := a.Recipe
	schema := "heapwright.mix/1"
	if o.Kind == Check {
		schema = "heapwright.check/1"
	}
	f, t := r.Figures, r.Problem.Target
	span := func(s blend.Span) [3]number { return [3]number{number(s.Low), number(s.Usual), number(s.High)} }
	aim := func(a blend.Aim, scale float64) aimJSON {
		return aimJSON{number(a.Low * scale), number(a.Aim * scale), number(a.High * scale)}
	}
	out := recipeJSON{
		Schema: schema, Title: o.Title, Status: r.Status.String(), Distance: number(r.Distance),
		CarbonToNitrogen: number(f.CarbonToNitrogen), MoisturePercent: number(100 * f.Moisture),
		MassKg: number(f.MassKg), VolumeM3: number(f.VolumeM3), LooseVolumeM3: number(f.LooseVolumeM3),
		WaterKg: number(r.Mixture.AddedWaterKg), BulkDensity: number(f.BulkDensityKgM3),
		FreeAirSpace: number(100 * f.FreeAirSpace), VolatileSolids: number(100 * f.VolatileSolids),
		DryMatterKg: number(f.DryKg), Cost: number(r.Cost()), CarbonKg: number(f.CarbonKg), NitrogenKg: number(f.NitrogenKg),
		PhosphatePercent: number(100 * f.Phosphate), PotashPercent: number(100 * f.Potash),
		Biodegradable: number(f.BiodegradableCarbonToNitrogen), WaterRatio: number(f.WaterRatio),
		FinishedVolumeM3: span(f.FinishedM3), FinishedMassKg: span(f.FinishedKg),
		Shape:         shapeOf(f.VolumeM3),
		Target:        targetJSON{aim(t.CarbonToNitrogen, 1), aim(t.Moisture, 100)},
		Ingredients:   []ingredientJSON{},
		ExactDistance: number(r.Distance),
		Conflict:      []statementJSON{},
		Limits:        []limitJSON{},
		Idle:          []string{},
		Repairs:       []repairJSON{},
		Breaches:      append([]string{}, r.Breaches()...),
		Cautions:      []cautionJSON{},
		Notes:         append([]string{}, notesOf(r)...),
	}
	for _, i := range ingredients(r) {
		out.Ingredients = append(out.Ingredients, ingredientJSON{
			Name: i.name, Feedstock: i.feedstock, MassKg: number(i.massKg), VolumeM3: number(i.volumeM3),
			SharePercent: number(100 * i.share), LeftKg: number(i.leftKg),
			Measures: measuresJSON(i.amounts),
		})
	}
	if r.Exact != nil {
		out.Whole, out.ExactDistance = true, number(r.Exact.Distance)
	}
	out.Chance = chanceView(a)
	if a.Reasons != nil {
		out.reasons(a.Reasons)
	}
	for _, c := range r.Cautions() {
		out.Cautions = append(out.Cautions, cautionJSON(c))
	}
	return encode(w, out)
}

func writeCSV(w io.Writer, r *blend.Recipe) error {
	cell := func(v float64) string {
		if !known(v) {
			return ""
		}
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	c := csv.NewWriter(w)
	_ = c.Write([]string{"name", "feedstock", "mass_kg", "volume_m3", "share_percent", "count", "measure", "left_kg"})
	for _, i := range ingredients(r) {
		// A second vessel has a row of its own, with only its count.
		for k, q := range i.amounts {
			row := []string{i.name, i.feedstock, cell(i.massKg), cell(i.volumeM3), cell(100 * i.share), cell(q.Number), q.Unit.Count(q.Number), cell(i.leftKg)}
			if k > 0 {
				if q.Number == 0 {
					continue
				}
				row[2], row[3], row[4], row[7] = "", "", "", ""
			}
			_ = c.Write(row)
		}
	}
	if !r.Conflict {
		_ = c.Write([]string{"water", "", cell(r.Mixture.AddedWaterKg), "", "", cell(r.Mixture.AddedWaterKg), "L", ""})
	}
	c.Flush()
	return c.Error()
}
