package pile

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
)

// squeezed is the answer of a squeeze test.
func squeezed(t *testing.T, word string) *Moistness {
	if word == "" {
		return nil
	}
	m, ok := ParseSqueeze(word)
	require.True(t, ok, word)
	return &m
}

// planned is a recipe with these figures; others are those of a good mix.
func planned(change func(*blend.Figures)) *blend.Recipe {
	f := blend.Figures{CarbonToNitrogen: 29, Moisture: 0.55, MassKg: 500, DryKg: 225, VolatileSolids: 0.85, VolumeM3: 1.2, BulkDensityKgM3: 417, FreeAirSpace: 0.6}
	change(&f)
	return &blend.Recipe{Figures: f}
}

// TestAdviceToday is what an experienced composter would do (common practice,
// where no source is named with the advice itself).
func TestAdviceToday(t *testing.T) {
	none := (*blend.Recipe)(nil)
	for _, c := range []struct {
		name, days, squeeze string
		recipe              *blend.Recipe
		want                Action
		text, because       string // that must be in it
		why                 string
	}{
		{"two days old and warming", "20 32", "", none, Wait, "read it every day", "32 C", "a mix takes two to five days to heat"},
		{"hot, second day", "25 50 58 60", "", none, Wait, "1 more day", "60 C", "leave a pile that is doing well alone"},
		{"hot for three days", "25 50 58 60 61", "", none, Turn, "outside to the inside", "3 days", "each part is to have its time in the core"},
		{"hot again since the turning", "58 60 61t 50 58 60", "", none, Wait, "1 more day", "2 days", "two days of three since it was turned"},
		{"the day after a turning", "58 60 61t 46", "", none, Wait, "a drop after turning is normal", "46 C", "it needs a day or two to come back"},
		{"over 65", "30 55 66", "", none, Turn, "at the next chance", "66 C", "nitrogen and activity are lost above it"},
		{"71", "30 60 71", "", none, ActOnHeat, "call the fire service", "71 C", "turn and wet"},
		{"75", "30 60 75", "", none, ActOnHeat, "several times a day", "75 C", "watch closely"},
		{"86", "30 60 86", "", none, ActOnHeat, "Danger", "86 C", "cool at once"},
		{"hot and dry", "30 58 60", "dusty", none, Water, "for each 100 kg", "35 %", "it will stop when it is dry"},
		{"hot and streaming", "30 58 60", "streams", none, Add, "coarse dry", "70 %", "it is about to run out of air"},
		{"uneven", "30 60/45 60/47", "", none, Turn, "uneven", "13 C", "like spots differ by more than ten degrees"},
		{"cooled without a turning", "40 58 60 61 60 58 52 47", "", none, Turn, "wet it", "not turned yet", "its air is used up, and there is food left"},
		{"fell fast without a turning", "40 60 62 61 50", "", none, Turn, "falling without having been turned", "50 C", "its air or water is used up"},
		{"slowly falling, still warm", "40 56 57 54 53 52", "", none, Wait, "read it tomorrow", "52 C", "too soon to turn"},
		{"did not come back", "55 60 58 50t 42 40 40 39", "", none, Cure, "curing", "39 C", "cool after a turning is ready to cure, if moist"},
		{"did not come back, still lukewarm", "55 60 58 52t 47 47 46 46", "", none, Look, "Squeeze a handful", "turned at 52 C", "moisture first"},
		{"did not come back, and is dry", "55 60 58 50t 42 40 40 39", "dusty", none, Water, "because it is dry", "35 %", "a dry pile looks finished"},
		{"did not come back, and is moist", "55 60 58 50t 42 40 40 39", "holds", none, Cure, "three to six weeks", "39 C", "the active phase is over"},
		{"each turning brings less", "60 58t 48 56 54t 44 50 48t 42 43 42 41", "holds", none, Cure, "curing", "each turning brings back less heat", "the food is used up"},
		{"curing, still warm", "60 50t 42 41 25x40@20", "", none, Wait, "not down to the temperature of the air", "20 C over the air", "it works on"},
		{"curing, the air not known", "60 50t 42 41 25x38", "", none, Wait, "read the air too", "cool days", "38 C is no air temperature"},
		{"cool and covered by frost", "60 50t 42 41 40@1 40@1", "holds", none, Cure, "only be chilled", "40 C", "cold makes a small pile look cured"},
		{"cured", "60 50t 42 41 30x22@20", "holds", none, Look, "may be ready", "under 45 C", "within five degrees of the air for weeks"},
		{"cured, but dry", "60 50t 42 41 30x22@20", "dusty", none, Water, "not because it is done", "35 %", "it only stopped"},
		{"does not heat, nothing known", "15@12 16@12 18@12 19@12 20@12", "", none, Look, "Squeeze a handful", "8 C over the air", "find out before doing anything"},
		{"does not heat, dry", "15 16 18 19 20 20", "dusty", none, Water, "Too dry to heat", "35 %", "the commonest reason"},
		{"does not heat, wet", "15 16 18 19 20 20", "streams", none, Add, "coarse dry", "70 %", "no air"},
		{"does not heat, a little dry", "15 16 18 19 20 20", "crumbles", none, Water, "Drier than is good", "45 %", "50 to 60 % is best"},
		{"does not heat, drips", "15 16 18 19 20 20", "drips", none, Add, "coarse dry", "62 %", "over 60 % it runs short of air"},
		{"does not heat, watered yesterday", "15 16 18 19 20w 20", "dusty", none, Wait, "needs that long to show", "watered", "give it time"},
		{"does not heat, too little nitrogen", "15 16 18 19 20 20", "holds", planned(func(f *blend.Figures) { f.CarbonToNitrogen = 55 }), Add, "nitrogen", "C:N of 55", "brown stuff alone does not heat"},
		{"does not heat, planned dry", "15 16 18 19 20 20", "", planned(func(f *blend.Figures) { f.Moisture = 0.3; f.DryKg = 300 }), Water, "L to", "30 % moisture as built", "the plan was dry"},
		{"does not heat, dense", "15 16 18 19 20 20", "holds", planned(func(f *blend.Figures) { f.BulkDensityKgM3 = 800; f.FreeAirSpace = 0.25 }), Add, "wood chips", "800 kg/m3", "no air gets in"},
		{"does not heat, small", "15 16 18 19 20 20", "holds", planned(func(f *blend.Figures) { f.VolumeM3 = 0.3 }), Add, "Too small", "0.3 m3", "it loses what it makes"},
		{"does not heat, cold", "4@1 4@1 5@0 6@-1 5@-2 5@-2", "holds", none, Cover, "Cold weather", "-2 C", "keep the warmth in"},
		{"slow", "20 30 35 40 44 45 46 46 45", "holds", planned(func(f *blend.Figures) { f.CarbonToNitrogen = 38 }), Add, "nitrogen", "C:N of 38", "over 35 it is slow"},
		{"no reading for days", "30 60 - - - -t", "", none, Look, "Read the thermometer", "4 days", "first know"},
		{"in F", "70 120 160", "", none, ActOnHeat, "Too hot", "160 F", "as written"},
	} {
		t.Run(c.name, func(t *testing.T) {
			unit := "C"
			if c.name == "in F" {
				unit = "F"
			}
			course := Follow(written(unit, c.days))
			advice := course.Advise(Circumstances{Moisture: squeezed(t, c.squeeze), Recipe: c.recipe})
			require.NotEmpty(t, advice)
			first := advice[0]
			assert.Equal(t, c.want.String(), first.Action.String(), "%s: %+v", c.why, first)
			assert.Contains(t, first.Text, c.text)
			assert.Contains(t, first.Because, c.because)
			assert.NotEmpty(t, first.Source)
			for _, a := range advice {
				for _, word := range []string{"complies", "safe ", "NaN", "Inf"} {
					assert.NotContains(t, a.Text+a.Because, word)
				}
			}
		})
	}
}

// TestWaterAmount reckons the water to add: 500 kg at 40 % hold 300 kg of dry
// matter; 50 % takes 300 - 200 = 100 kg of water, 60 % takes 450 - 200 = 250.
func TestWaterAmount(t *testing.T) {
	a := &advising{Course: Follow(written("C", "20")), Circumstances: Circumstances{Recipe: planned(func(f *blend.Figures) { f.DryKg = 300; f.VolatileSolids = 0.8 })}}
	low, high, how := a.litres(0.40)
	assert.InDelta(t, 100, low, 1e-9)
	assert.InDelta(t, 250, high, 1e-9)
	assert.Contains(t, how, "100 L to 250 L")
	// After two months up to 65 % of the volatile solids are gone, and the
	// least is for what is left: 300 (1 - 0.8 x 0.65) = 144 kg.
	a.Course = Follow(written("C", "61x20"))
	low, high, _ = a.litres(0.40)
	assert.InDelta(t, 144*(1-2.0/3), low, 1e-9)
	assert.InDelta(t, 250, high, 1e-9)
	a.Recipe = nil
	low, high, how = a.litres(0.40)
	assert.Zero(t, low+high)
	// 100 kg at 40 %: 100 (0.55 - 0.40) / 0.45 = 33.3 kg.
	assert.Contains(t, how, "35 L of water for each 100 kg")
	assert.False(t, math.IsNaN(high))
}

// TestRain: rain on an uncovered pile calls for a cover, whatever else.
func TestRain(t *testing.T) {
	advice := Follow(written("C", "30 58 60r")).Advise(Circumstances{})
	var actions []string
	for _, a := range advice {
		actions = append(actions, a.Action.String())
	}
	assert.Equal(t, []string{"wait", "cover"}, actions)
}

func TestSqueeze(t *testing.T) {
	m, ok := ParseSqueeze(" Holds ")
	assert.True(t, ok)
	assert.Equal(t, 0.55, m.Usual)
	_, ok = ParseSqueeze("soggy")
	assert.False(t, ok)
	assert.Equal(t, "dusty crumbles holds drips streams", strings.Join(SqueezeWords(), " "))
}
