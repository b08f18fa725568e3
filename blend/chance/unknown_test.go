package chance

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
	"heapwright/feedstocks"
)

// TestNoImpossibleDraws looks at every material of the library, over the whole
// of its spreads: carbon stays within 25 to 62 % of dry matter (organic matter
// holds 45 to 60 % carbon: Adams et al. 1951, by way of Cornell) but for the
// few whose published figures lie under that, and moisture, nitrogen and
// density stay what they can be.
func TestNoImpossibleDraws(t *testing.T) {
	seen := 0
	r := rand.New(rand.NewPCG(seedOf(t), 1))
	for _, f := range library(t).All() {
		c, err := f.Composition()
		if err != nil {
			continue
		}
		seen++
		p := &blend.Problem{Materials: []blend.Material{{Name: f.Name, Feedstock: f, Composition: c, OnHandKg: 100}}, Target: blend.DefaultTarget()}
		d := newDrawer(&blend.Recipe{Problem: p, Mixture: blend.Mixture{Parts: []blend.Part{{Name: f.Name, Composition: c, MassKg: 100}}}})
		u := make([]float64, len(d.unknowns))
		lowest, highest := min(0.25, c.Carbon), 0.62
		if c.Carbon < 0.25 {
			lowest = 0.81 * c.Carbon // mostly ash: then by the band of Adams et al.
		}
		for i := range 2000 {
			for k := range u {
				switch u[k] = r.Float64(); i {
				case 0:
					u[k] = 0
				case 1:
					u[k] = 1
				}
			}
			l := d.lot(0, u)
			dry := l[mass] - l[water]
			moisture := l[water] / l[mass]
			require.True(t, moisture >= 0 && moisture <= max(wettest, c.Moisture)+1e-12, "%s: moisture %g", f.Name, moisture)
			if c.Carbon > 0 {
				require.True(t, l[carbon]/dry >= lowest-1e-12 && l[carbon]/dry <= highest, "%s: carbon %g of %g", f.Name, l[carbon]/dry, c.Carbon)
			}
			require.True(t, l[nitrogen] >= 0 && l[nitrogen] < 0.5*dry, "%s: nitrogen %g", f.Name, l[nitrogen]/dry)
			if c.DensityKgM3 > 0 {
				require.True(t, l[volume] >= l[particles]*(1-1e-9) || 1/l[volume] <= c.DensityKgM3*(1+1e-9), "%s: density %g of %g", f.Name, 1/l[volume], c.DensityKgM3)
			}
		}
	}
	assert.Greater(t, seen, 60)
}

// TestBandOfCarbonReachesAlmostAll keeps the exception of the test above from
// growing: at most a handful of materials are published with less than 25 %
// carbon.
func TestBandOfCarbonReachesAlmostAll(t *testing.T) {
	var low []string
	for _, f := range library(t).All() {
		if c, err := f.Composition(); err == nil && c.Carbon > 0 && c.Carbon < 0.25 {
			low = append(low, f.Name)
		}
	}
	assert.LessOrEqual(t, len(low), 5, low)
}

// spreadIn finds the spread of a figure in a plan of one material.
func spreadIn(t *testing.T, plan string, k feedstocks.Kind) Spread {
	for _, u := range unknowns(planned(t, plan)) {
		if u.Kind == k {
			return u.Spread
		}
	}
	return Spread{}
}

func TestPlanSetsTheSpread(t *testing.T) {
	const onHand = "\n[on_hand]\nleaves = \"10 sacks\"\n[feedstock.leaves]\n"
	for _, row := range []struct {
		name, line string
		kind       feedstocks.Kind
		want       Spread
	}{
		{"the library's range", `note = ""`, feedstocks.CarbonToNitrogen, Spread{Shape: PERT, Low: 26.8, Typical: 48.5, High: 71.8}},
		{"a range of one's own replaces it", `carbon_to_nitrogen = [30, 40, 60]`, feedstocks.CarbonToNitrogen, Spread{Shape: PERT, Low: 30, Typical: 40, High: 60}},
		{"and its shape", `carbon_to_nitrogen = { low = 30, typical = 40, high = 60, shape = "lognormal" }`, feedstocks.CarbonToNitrogen, Spread{Shape: LogNormal, Low: 30, Typical: 40, High: 60}},
		{"nitrogen with a shape", `nitrogen = { low = 0.7, typical = 0.9, high = 1.5, shape = "lognormal" }`, feedstocks.Nitrogen, Spread{Shape: LogNormal, Low: 0.007, Typical: 0.009, High: 0.015}},
		{"bound at both ends", `moisture = { low = 30, typical = 40, high = 60, shape = "normal" }`, feedstocks.Moisture, Spread{Shape: Normal, Low: 0.3, Typical: 0.4, High: 0.6}},
		{"density spreads by factors", `bulk_density = [50, 80, 150]`, feedstocks.BulkDensity, Spread{Shape: LogNormal, Low: 50, Typical: 80, High: 150}},
		{"unless the plan says else", `bulk_density = { low = 50, typical = 80, high = 150, shape = "pert" }`, feedstocks.BulkDensity, Spread{Shape: PERT, Low: 50, Typical: 80, High: 150}},
		{"known for good", `moisture = { typical = 40, shape = "fixed" }`, feedstocks.Moisture, Spread{}},
	} {
		t.Run(row.name, func(t *testing.T) {
			got := spreadIn(t, onHand+row.line, row.kind)
			assert.Equal(t, row.want.Shape, got.Shape)
			assert.InDelta(t, row.want.Low, got.Low, 1e-9)
			assert.InDelta(t, row.want.Typical, got.Typical, 1e-9)
			assert.InDelta(t, row.want.High, got.High, 1e-9)
			assert.False(t, got.Assumed)
		})
	}
}

// TestPublishedDensityIsNeverNarrow: of leaves one list says 60 to 80 kg/m3,
// and leaves pack to two and four times that.
func TestPublishedDensityIsNeverNarrow(t *testing.T) {
	s := spreadIn(t, "[on_hand]\nleaves = \"10 sacks\"", feedstocks.BulkDensity)
	mean, deviation := moments(s.table())
	assert.InEpsilon(t, 0.20, deviation/mean, 0.02)
	assert.True(t, s.Assumed)
}

// TestOneMeasurementIsNarrow: a single number of the user's own has the spread
// of a measurement, narrower than the library's.
func TestOneMeasurementIsNarrow(t *testing.T) {
	for _, row := range []struct {
		kind      feedstocks.Kind
		line      string
		deviation float64 // relative, but for moisture
	}{
		{feedstocks.Nitrogen, "nitrogen = 1.2", 0.07},
		{feedstocks.CarbonToNitrogen, "carbon_to_nitrogen = 40", 0.07},
		{feedstocks.Moisture, "moisture = 40", 0.02},
		{feedstocks.BulkDensity, "bulk_density = 90", 0.10},
	} {
		t.Run(row.kind.String(), func(t *testing.T) {
			const onHand = "\n[on_hand]\nleaves = \"10 kg\"\n[feedstock.leaves]\n"
			own := spreadIn(t, onHand+row.line, row.kind)
			mean, deviation := moments(own.table())
			if row.kind != feedstocks.Moisture {
				deviation /= mean
			}
			assert.InEpsilon(t, row.deviation, deviation, 0.03)
			assert.True(t, own.Assumed)
			if book := spreadIn(t, onHand, row.kind); book.Shape != Fixed {
				assert.Less(t, (own.High-own.Low)/own.Typical, (book.High-book.Low)/book.Typical)
			}
		})
	}
}

// TestOneOfNitrogenAndRatio: drawing both apart would give carbon that cannot
// be.
func TestOneOfNitrogenAndRatio(t *testing.T) {
	for _, f := range complete(t) {
		c, err := f.Composition()
		require.NoError(t, err)
		kinds := map[feedstocks.Kind]int{}
		for _, u := range unknowns(&blend.Problem{Materials: []blend.Material{{Name: f.Name, Feedstock: f, Composition: c}}}) {
			kinds[u.Kind]++
		}
		assert.Equal(t, 1, kinds[feedstocks.Nitrogen]+kinds[feedstocks.CarbonToNitrogen], f.Name)
	}
}
