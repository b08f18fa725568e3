package blend_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
)

// Random problems that once went wrong, in their smallest form. The materials
// are extreme: urea, a liquid, ash, sawdust, several times the same.
func TestPastFailures(t *testing.T) {
	plain := composed(0.05, 0.3, 0.3/6, 50)
	urea := composed(0.001, 0, 0.46, 750)
	liquid := composed(0.97, 0.40, 0.04, 1000)
	sawdust := composed(0.12, 0.5556, 0.5556/1665, 150)
	narrow := func(aim float64) blend.Aim { return blend.Aim{Low: aim * 0.999, Aim: aim, High: aim * 1.001} }
	usual := blend.DefaultTarget()
	for _, row := range []struct {
		name, was string
		target    blend.Target
		water     float64
		materials []blend.Material
	}{
		{"a wet and a dry material, C:N and moisture both narrow", "stalled",
			blend.Target{CarbonToNitrogen: narrow(24.2821648512994), Moisture: narrow(0.1)}, 0,
			[]blend.Material{onHand("liquid", 1, liquid), onHand("litter", 1, composed(0.0993, 0.3, 0.012815840907657557, 50))}},
		{"moisture of a material a last digit off the aim", "stalled",
			blend.Target{CarbonToNitrogen: usual.CarbonToNitrogen, Moisture: narrow(0.9000000000000002)}, 0,
			[]blend.Material{onHand("wet", 1, composed(0.9, 0.3, 0.0265219783, 50)), onHand("plain", 1, plain)}},
		{"two lots of sawdust and a moist one, with little water", "stalled",
			blend.Target{CarbonToNitrogen: narrow(8), Moisture: usual.Moisture}, 0.0625426854547057,
			[]blend.Material{onHand("sawdust", 1, sawdust), onHand("more sawdust", 4.2542685454705698, sawdust),
				onHand("wood", 1, composed(0.62035, 0.3, 0.0012, 50))}},
		{"three of which the liquid decides", "stalled",
			blend.Target{CarbonToNitrogen: usual.CarbonToNitrogen, Moisture: narrow(0.1)}, 0,
			[]blend.Material{onHand("wood", 1, composed(0.33985, 0.3, 0.00998208493, 50)), onHand("litter", 1, composed(0.35005, 0.3, 0.05, 50)),
				onHand("liquid", 1.07051254, liquid)}},
		{"six lots of one material and a wet one", "stalled",
			blend.Target{CarbonToNitrogen: narrow(8), Moisture: usual.Moisture}, 0,
			[]blend.Material{onHand("a", 2, plain), onHand("b", 2, plain), onHand("c", 2, plain), onHand("d", 2, plain), onHand("e", 2, plain),
				onHand("f", 2, composed(0.05, 0.3, 0.05, 50.15)), onHand("wet", 2, composed(0.9, 0.3, 0.037940725940370824, 50))}},
		{"a liquid of one kilogram in a hundred", "a distance of 7.91775257 where 7.91773152 was found",
			blend.Target{CarbonToNitrogen: narrow(8), Moisture: usual.Moisture}, 0,
			[]blend.Material{onHand("plain", 100.26347955568831, plain), onHand("urea", 1, urea), onHand("liquid", 1, liquid)}},
	} {
		t.Run(row.name, func(t *testing.T) {
			p := &blend.Problem{Materials: row.materials, Target: row.target, Pile: blend.Pile{WaterKg: row.water}}
			r, err := blend.Formulate(t.Context(), p)
			require.NoError(t, err, "once: %s", row.was)
			require.Empty(t, fault(p, r))
			c := &court{p: p, r: r, referee: newReferee(p)}
			assert.Empty(t, c.judge())
		})
	}
}

// The lots of one material are used in proportion, however much more there is
// than the pile takes, and however little the others leave to choose.
func TestProportionsOfLotsInASmallPile(t *testing.T) {
	plain := composed(0.05, 0.3, 0.3/6, 50)
	p := wateredProblem(
		onHand("a", 1, plain), onHand("b", 1, plain), onHand("c", 5000, plain),
		onHand("other", 1, composed(0.05, 0.3, 0.0373788969, 50)))
	p.Target.CarbonToNitrogen = blend.Aim{Low: 7.992, Aim: 8, High: 8.008}
	p.Target.Moisture = blend.Aim{Low: 0.0999, Aim: 0.1, High: 0.1001}
	r := formulated(t, p)
	kg := func(j int) float64 { return r.Mixture.Parts[j].MassKg }
	slack := tieAgreement * r.Figures.MassKg
	assert.InDelta(t, kg(0), kg(1), slack)
	assert.InDelta(t, kg(2)/5000, kg(0), slack)
}

// The same where the cheapest pile leaves two lots of cardboard in either
// measure.
func TestProportionsOfLotsInACheapPile(t *testing.T) {
	cardboard := composed(0.05, 0.4, 0, 300)
	wood := onHand("wood", 1.0435057584892071, composed(0.70365, 0.3, 0.0028508360235963851, 220.282))
	wood.ShareAtMost = 0.05
	moist := onHand("moist", 1.1076119687706905, composed(0.67475, 0.30078, 0.05013, 50))
	moist.ShareAtMost = 0.9
	p := wateredProblem(
		onHand("urea", 1.0171802988750456, composed(0.001, 0, 0.46, 750)),
		onHand("cardboard", 1, cardboard), wood,
		onHand("more cardboard", 1.0171802988750456, cardboard), moist,
		onHand("plain", 1, composed(0.05, 0.3, 0.3/6, 50.4514)))
	p.Target.Moisture = blend.Aim{Low: 0.5520344240941768, Aim: 0.5525870111052821, High: 0.5531395981163874}
	p.Pile = blend.Pile{SizeM3: 0.0011110563064119835, AirAtLeast: 0.31675, Prefer: blend.PreferCheapest}
	r := formulated(t, p)
	require.False(t, math.IsNaN(r.Figures.VolumeM3))
	a, b := r.Mixture.Parts[1].MassKg, r.Mixture.Parts[3].MassKg
	assert.InDelta(t, a, b/1.0171802988750456, tieAgreement*r.Figures.MassKg)
}
