package cli

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"heapwright/feedstocks"
)

func measureMoistureCommand() command {
	return command{
		name:  "measure moisture",
		short: "moisture from dried samples, or from a bucket weight",
		long: `Moisture, per cent of the wet weight, from a sample weighed wet and dry.

Take handfuls from five places of the heap, chop and mix them, and test two
samples. The range: from how the samples differ, steadied by what one sample is
good to (3 points either way by microwave, as was found on straw; 2 by oven,
common practice, no source). Samples over 3 points apart ask for a repeat.

Oven: weigh the dish, then the dish with some 10 g or more; dry at 105 C for 24
hours (or until the weight holds); weigh again.
  heapwright measure moisture --dish "4 g" --wet "14 g" --dry "6.3 g"
Microwave: 100 g in a dish; 3 to 4 minutes on high; weigh, stir, 1 minute more,
and so on until a minute takes off less than 1 g of 100 g. Give all the weights;
end with "charred" if it charred at the last: the one before is used.
  heapwright measure moisture --by microwave --dish "210 g" \
      --weights "310 265 250 248.5 248.1 g"
Bucket weight alone, no drying: holds the bucket against the published density
and moisture of the material. Good to 10 points, and only if it lies as loose.
  heapwright measure moisture --for leaves --volume "10 L" \
      --empty "0.6 kg" --full "2.1 kg"

Take care. Microwave: keep a glass of water in the corner, stay with it, stop at
the first smoke, and do not use one that cooks food for manure; dry organic
matter can catch fire. If it does, leave the door shut and switch off. Oven: it
is hot enough to burn, so use gloves and tongs; fumes and smell want air. Wash
hands after manure.`,
		setup: func(flags *pflag.FlagSet) run {
			m := addMoistureFlags(flags)
			common := addMeasureFlags(flags)
			return func(_ context.Context, args []string, io streams) error {
				layout, err := common.layout(args)
				if err != nil {
					return err
				}
				finding, err := m.finding(common)
				if err != nil {
					return err
				}
				return common.tell(io, layout, finding)
			}
		},
	}
}

// moistureFlags say which test of moisture was done.
type moistureFlags struct {
	by                        string
	dish, wet, dry, weights   []string
	dryBasis, measuredDensity string
	bucket                    *bucketFlags
}

func addMoistureFlags(flags *pflag.FlagSet) *moistureFlags {
	m := &moistureFlags{}
	flags.StringVar(&m.by, "by", "", "how it was dried: `oven or microwave` (else microwave for --weights)")
	flags.StringArrayVar(&m.dish, "dish", nil, "`weight` of the empty dish; one for all samples, or one for each")
	flags.StringArrayVar(&m.wet, "wet", nil, "`weight` as it comes, with the dish; repeat for each sample")
	flags.StringArrayVar(&m.dry, "dry", nil, "`weight` when dry, with the dish; repeat for each sample")
	flags.StringArrayVar(&m.weights, "weights", nil, "all `weights` of a sample in the order weighed, as in \"310 265 250 248.5 g\"; repeat for each")
	flags.StringVar(&m.dryBasis, "dry-basis", "", "turn a moisture on dry basis (water to dry matter, `per cent`) into wet basis")
	flags.StringVar(&m.measuredDensity, "density", "", "bulk `density` measured, against the published one of --for; or give the bucket:")
	m.bucket = addBucketFlags(flags)
	return m
}

func (m *moistureFlags) finding(common *measureFlags) (*feedstocks.Finding, error) {
	dried := len(m.wet) + len(m.dry) + len(m.weights)
	bucket := m.measuredDensity != "" || m.bucket.any()
	switch {
	case dried > 0 && (bucket || m.dryBasis != ""), bucket && m.dryBasis != "":
		return nil, &usageError{"these are flags of different tests", "give the weights of a dried sample, or a bucket, or --dry-basis"}
	case m.dryBasis != "":
		return m.fromDryBasis()
	case bucket:
		return m.fromDensity(common.material, common.library)
	case dried > 0:
		return m.fromDrying()
	}
	return nil, &usageError{"which weights?", `give --wet and --dry, or --weights, or a bucket; heapwright help measure moisture tells how`}
}

func (m *moistureFlags) fromDrying() (*feedstocks.Finding, error) {
	d := feedstocks.Drying{}
	switch {
	case m.by == "microwave" || m.by == "" && len(m.weights) > 0:
		d.Dryer = feedstocks.Microwave
	case m.by != "" && m.by != "oven":
		return nil, &usageError{fmt.Sprintf("--by cannot be %q", m.by), "it is oven or microwave"}
	}
	if len(m.wet) != len(m.dry) {
		return nil, &usageError{fmt.Sprintf("there are %d wet weights and %d dry ones", len(m.wet), len(m.dry)), "give one --wet and one --dry for each sample, in the same order"}
	}
	for i := range m.wet {
		var s feedstocks.DryingSample
		for _, of := range []struct{ flag, text string }{{"wet", m.wet[i]}, {"dry", m.dry[i]}} {
			kg, err := weight(of.flag, of.text)
			if err != nil {
				return nil, err
			}
			s.WeightsKg = append(s.WeightsKg, kg)
		}
		d.Samples = append(d.Samples, s)
	}
	for _, text := range m.weights {
		s, err := series(text)
		if err != nil {
			return nil, err
		}
		d.Samples = append(d.Samples, s)
	}
	if n := len(m.dish); n > 1 && n != len(d.Samples) {
		return nil, &usageError{fmt.Sprintf("there are %d dishes and %d samples", n, len(d.Samples)), "give one --dish for all samples, or one for each"}
	}
	for i := range d.Samples {
		if len(m.dish) == 0 {
			break
		}
		kg, err := weight("dish", m.dish[min(i, len(m.dish)-1)])
		if err != nil {
			return nil, err
		}
		d.Samples[i].DishKg = kg
	}
	return d.Moisture()
}

// series reads the weights of one sample: numbers, one unit behind them, and
// perhaps the word charred.
func series(text string) (feedstocks.DryingSample, error) {
	var s feedstocks.DryingSample
	const hint = `write them in order with the unit at the end, as in "310 265 250 248.5 g" or "310 265 251 240 g charred"`
	fields := strings.Fields(text)
	if n := len(fields); n > 0 && fields[n-1] == "charred" {
		s.Charred, fields = true, fields[:n-1]
	}
	numbers := 0
	for numbers < len(fields) && strings.ContainsAny(fields[numbers][:1], "0123456789.-") {
		numbers++
	}
	unit := strings.TrimRight(strings.Join(fields[numbers:], " "), ",")
	if numbers > 0 && unit == "" {
		// "248.5g"
		last := fields[numbers-1]
		if i := strings.IndexFunc(last, func(r rune) bool { return r >= 'a' && r <= 'z' }); i > 0 {
			fields[numbers-1], unit = last[:i], last[i:]
		}
	}
	if numbers == 0 || unit == "" {
		return s, &usageError{fmt.Sprintf("--weights %q is not a row of numbers with a unit", text), hint}
	}
	for _, number := range fields[:numbers] {
		kg, err := weight("weights", strings.TrimRight(number, ",;")+" "+unit)
		if err != nil {
			return s, err
		}
		s.WeightsKg = append(s.WeightsKg, kg)
	}
	return s, nil
}

func (m *moistureFlags) fromDryBasis() (*feedstocks.Finding, error) {
	per, err := parseNumber(strings.TrimSuffix(strings.TrimSpace(m.dryBasis), "%"))
	if err != nil {
		return nil, &usageError{"--dry-basis: " + err.Error(), `write per cent, as in "50 %"`}
	}
	return feedstocks.MoistureFromDryBasis(per / 100)
}

func (m *moistureFlags) fromDensity(material, library string) (*feedstocks.Finding, error) {
	if strings.TrimSpace(material) == "" {
		return nil, &usageError{"a bucket weight alone needs the material", "name it, as in --for leaves, or dry a sample"}
	}
	lib, err := openLibrary(library)
	if err != nil {
		return nil, err
	}
	book, err := lib.Find(material)
	if err != nil {
		return nil, err
	}
	bookDensity, hasDensity := book.Typical(feedstocks.BulkDensity)
	bookMoisture, hasMoisture := book.Typical(feedstocks.Moisture)
	if !hasDensity || !hasMoisture {
		return nil, &usageError{fmt.Sprintf("the library has no density and moisture of %s to hold a bucket against", book.Name), "dry a sample: heapwright help measure moisture"}
	}
	var weighed *feedstocks.Finding
	var kgM3 float64
	if m.measuredDensity != "" {
		if m.bucket.any() {
			return nil, &usageError{"--density and the weights of a bucket exclude each other", "leave one of them out"}
		}
		if kgM3, err = feedstocks.ParseDensity(m.measuredDensity); err != nil {
			return nil, flagQuantity("density", err, "")
		}
	} else {
		if weighed, err = m.bucket.density(); err != nil {
			return nil, err
		}
		kgM3 = weighed.Figures[0].Typical
	}
	finding, err := feedstocks.MoistureFromDensity(kgM3, bookDensity, bookMoisture)
	if err == nil && weighed != nil {
		finding.Steps = append(weighed.Steps, finding.Steps...)
		finding.Warnings = append(weighed.Warnings, finding.Warnings...)
	}
	return finding, err
}
