package chance

import (
	"context"
	"math/rand/v2"
	"runtime"
	"sync"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// Outcome is what a recipe comes to for one draw of its unknowns.
type Outcome struct {
	CarbonToNitrogen float64
	Moisture         float64
	VolumeM3         float64 // as built; NaN where a density is not known
	BulkDensityKgM3  float64
	FreeAirSpace     float64
}

// drawer works out recipes for draws of the unknowns. A draw is a point in
// the unit cube, one coordinate for each unknown.
type drawer struct {
	problem  *blend.Problem
	unknowns []Unknown
	tables   []quantiles
	parts    []part
	water    float64
}

// part is one material of a recipe with the places of its unknowns; -1 for
// what is known.
type part struct {
	massKg                             float64
	byVolume                           bool // the recipe measures it by volume
	carbon, nitrogen, moisture         float64
	density, volatile                  float64
	dryDensity                         float64
	carbonAt, richAt, moistAt, heavyAt int
	ratio                              bool // richAt is the C:N
}

// byVolume reports whether a material is counted out in vessels.
func byVolume(m blend.Material) bool {
	return m.OnHand.Unit.Dimension == feedstocks.Volume && m.OnHand.Unit.Factor > 0 && m.Composition.DensityKgM3 > 0
}

func newDrawer(r *blend.Recipe) *drawer {
	p := r.Problem
	d := &drawer{problem: p, unknowns: unknowns(p), water: r.Mixture.AddedWaterKg}
	for _, u := range d.unknowns {
		d.tables = append(d.tables, u.table())
	}
	for j, m := range p.Materials {
		c := m.Composition
		q := part{
			massKg: r.Mixture.Parts[j].MassKg, byVolume: byVolume(m),
			carbon: c.Carbon, nitrogen: c.Nitrogen, moisture: c.Moisture, density: c.DensityKgM3, volatile: c.VolatileSolids,
			dryDensity: c.DensityKgM3 * (1 - c.Moisture),
			carbonAt:   -1, richAt: -1, moistAt: -1, heavyAt: -1,
		}
		for i, u := range d.unknowns {
			if u.material != j {
				continue
			}
			switch u.Kind {
			case feedstocks.Carbon:
				q.carbonAt = i
			case feedstocks.Moisture:
				q.moistAt = i
			case feedstocks.BulkDensity:
				q.heavyAt = i
			default:
				q.richAt, q.ratio = i, u.Kind == feedstocks.CarbonToNitrogen
			}
		}
		d.parts = append(d.parts, q)
	}
	return d
}

// lot is a material as drawn, for each kg that the recipe names: what a mix
// comes to is a sum over its lots.
type lot [lotFigures]float64

// The figures of a lot: kg, and m3 of loose volume and of particles without
// their pores.
const (
	water = iota
	mass
	carbon
	nitrogen
	volume
	particles
	lotFigures
)

// add puts kg of a lot to a sum.
func (s *lot) add(l *lot, kg float64) {
	for f := range s {
		s[f] += kg * l[f]
	}
}

// pureWater is a kg of added water.
func pureWater() *lot { return &lot{water: 1, mass: 1, particles: blend.ParticleVolume(1, 0)} }

// lot draws material j at the point u.
func (d *drawer) lot(j int, u []float64) lot {
	q := &d.parts[j]
	moisture, ofCarbon, ofNitrogen := q.moisture, q.carbon, q.nitrogen
	if q.moistAt >= 0 {
		moisture = d.tables[q.moistAt].at(u[q.moistAt])
	}
	if q.carbonAt >= 0 {
		ofCarbon = d.tables[q.carbonAt].at(u[q.carbonAt])
	}
	if q.richAt >= 0 {
		ofNitrogen = d.tables[q.richAt].at(u[q.richAt])
		if q.ratio {
			ofNitrogen = ofCarbon / ofNitrogen
		}
	}
	// A wetter heap is a heavier one: the dry bulk density is what is drawn.
	density := q.dryDensity
	if q.heavyAt >= 0 {
		density *= d.tables[q.heavyAt].at(u[q.heavyAt]) / q.density
	}
	// No heap is denser than its particles, without a pore between them.
	solid := blend.ParticleVolume(moisture, q.volatile)
	density = min(density/(1-moisture), max(1/solid, q.density))
	kg := 1.0
	if q.byVolume {
		kg = density / q.density
	}
	dry := kg * (1 - moisture)
	return lot{
		water: kg * moisture, mass: kg, carbon: dry * ofCarbon, nitrogen: dry * ofNitrogen,
		volume: kg / density, particles: kg * solid,
	}
}

// at is the outcome at the point u.
func (d *drawer) at(u []float64) Outcome {
	var sum lot
	for j := range d.parts {
		kg := d.parts[j].massKg
		if kg == 0 {
			continue
		}
		l := d.lot(j, u)
		sum.add(&l, kg)
	}
	sum.add(pureWater(), d.water)
	// Nesting and added water cannot press a pile below what fills it.
	built := max((1-d.problem.Pile.Shrink)*sum[volume], sum[particles])
	return Outcome{
		CarbonToNitrogen: sum[carbon] / sum[nitrogen],
		Moisture:         sum[water] / sum[mass],
		VolumeM3:         built,
		BulkDensityKgM3:  sum[mass] / built,
		FreeAirSpace:     1 - sum[particles]/built,
	}
}

// chunk is the number of draws that share a source of random numbers. Chunks
// are numbered, so that which processor takes one does not matter.
const chunk = 1024

// each draws n points and calls work for each with its number, on all
// processors; work must only touch what belongs to that number. It returns
// the context's error when it is cancelled.
func (d *drawer) each(ctx context.Context, n int, seed uint64, work func(i int, u []float64)) error {
	workers := min(runtime.GOMAXPROCS(0), (n+chunk-1)/chunk)
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			u := make([]float64, len(d.unknowns))
			for first := w * chunk; first < n && ctx.Err() == nil; first += workers * chunk {
				source := rand.New(rand.NewPCG(seed, uint64(first)))
				for i := first; i < min(first+chunk, n); i++ {
					for k := range u {
						u[k] = source.Float64()
					}
					work(i, u)
				}
			}
		})
	}
	wg.Wait()
	return ctx.Err()
}
