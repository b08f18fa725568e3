package season_test

import (
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
	"heapwright/blend/season"
	"heapwright/feedstocks"
)

const example = "../../testdata/seasons/two-acres.toml"

func readExample(t testing.TB, from int) *season.Season {
	t.Helper()
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	file, err := os.Open(example)
	require.NoError(t, err)
	defer file.Close()
	f, err := season.ReadFile(file, example)
	require.NoError(t, err)
	s, err := f.Season(lib, from)
	require.NoError(t, err)
	return s
}

// TestExampleSeason checks what the example says once it is numbers.
func TestExampleSeason(t *testing.T) {
	s := readExample(t, 0)
	assert.Equal(t, 40, s.Weeks)
	assert.Equal(t, []string{"leaves", "wheat straw", "grass clippings", "horse manure", "cull vegetables"}, names(s.Materials), "one stock for each feedstock, whatever the entries are called")
	assert.Equal(t, 6, s.Arrivals[2].Week, "5 April is in the sixth week from 1 March")
	assert.InDelta(t, 9*0.09*s.Materials[2].Composition.DensityKgM3, s.Arrivals[2].Kg, 1e-9)
	assert.InDelta(t, 6*0.09*s.Materials[2].Composition.DensityKgM3, s.Arrivals[2].LowKg, 1e-9)
	assert.Equal(t, 1, s.Arrivals[2].Keeps, "grass does not keep")
	assert.InDelta(t, 60*0.09, s.WorkM3, 1e-12)
	assert.Equal(t, []int{13, 13, 14}, []int{s.Bays[0].Ready(), s.Bays[1].Ready(), s.Bays[2].Ready()})
	assert.InDelta(t, 5.50/(50*pound), s.Offers[0].PricePerKg, 1e-9, "a bale is 50 lb")
	assert.Equal(t, 7, s.Beds.Beds[0].Week)
	assert.InDelta(t, 4*1.2*18*0.01, s.Beds.Beds[0].CompostM3, 1e-12)
	plan, err := season.Solve(t.Context(), s, season.Settings{Time: time.Minute}) // on a busy machine too
	require.NoError(t, err)
	for _, a := range plan.Aims {
		assert.Truef(t, a.Proven, "%+v", a)
	}
	card, err := plan.Card(t.Context(), plan.Batches[0], nil)
	require.NoError(t, err)
	require.NotNil(t, card.Whole)
	assert.NotEqual(t, blend.OutOfReach, card.Whole.Status)
	for j, portions := range card.Whole.Portions {
		for _, p := range portions {
			assert.InDelta(t, float64(int(p.Quantity().Number/p.Step+0.5))*p.Step, p.Quantity().Number, 1e-9)
			assert.LessOrEqual(t, card.Whole.Mixture.Parts[j].MassKg, card.Exact.Problem.Materials[j].OnHandKg*(1+1e-6))
		}
	}
}

func names(all []blend.Material) []string {
	var out []string
	for _, m := range all {
		out = append(out, m.Name)
	}
	return out
}

// TestTargetsByWeek: a target holds from its week on.
func TestTargetsByWeek(t *testing.T) {
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	f, err := season.ReadFile(strings.NewReader(`
weeks = 9
[target]
carbon_to_nitrogen = 28
[target_from.4]
moisture = 50
[on_hand]
leaves = "9 sacks"
[bay.a]
size = "1 m3"
`), "s.toml")
	require.NoError(t, err)
	s, err := f.Season(lib, 0)
	require.NoError(t, err)
	require.Len(t, s.Targets, 4)
	assert.InDelta(t, 28, s.Targets[2].CarbonToNitrogen.Aim, 0)
	assert.InDelta(t, 0.50, s.Targets[3].Moisture.Aim, 1e-12)
	assert.InDelta(t, 30, s.Targets[3].CarbonToNitrogen.Aim, 0)
}

// FuzzSeasonFile: whatever a file says, it is read or refused, and a season
// that is read makes sense.
func FuzzSeasonFile(f *testing.F) {
	text, err := os.ReadFile(example)
	require.NoError(f, err)
	f.Add(string(text))
	f.Add("weeks = 3\n[on_hand]\nleaves = [\"1 kg\", \"2 kg\", \"3 kg\"]\n[bay.a]\nsize = \"1 m3\"\n[done.x]\nweek = 1\nbay = \"a\"\nput_in = { leaves = \"1 kg\" }\n")
	f.Add("weeks = 2\nstart = 2027-01-01T00:00:00Z\n[arrival.leaves]\namount = \"1 kg\"\nevery = 0\n[may_buy.straw]\nmost = \"1 t\"\nlead = \"9 weeks\"\n")
	f.Add("weeks = 9\nstart = 2027-01-01\nfrost = 2026-10-25\n[on_hand]\nleaves = \"1 t\"\n[bay.a]\nsize = \"1 m3\"\n[cover_crop.leaves]\namount = [\"9 m2 at 1 kg/m2\", \"20 kg\", \"1 m3\"]\nweek = 4\n[cover_crop.rye]\nfrost = 0001-01-01\n")
	lib, err := feedstocks.Default()
	require.NoError(f, err)
	f.Fuzz(func(t *testing.T, text string) {
		for _, from := range []int{0, 2} {
			file, err := season.ReadFile(strings.NewReader(text), "f.toml")
			if err != nil {
				return
			}
			_, _ = file.Beds(lib)
			s, err := file.Season(lib, from)
			if err == nil {
				require.NoError(t, s.Validate())
				for _, c := range s.Beds.CoverCrops {
					require.Equal(t, 14*24*time.Hour, c.SowTo.Sub(c.SowFrom))
				}
			}
		}
	})
}
