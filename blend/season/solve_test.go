package season_test

import (
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
	"heapwright/blend/season"
)

// ledger follows a plan lot by lot, apart from all code of the package: every
// kg that is used is taken from a lot that has come and has not spoiled, the
// one that spoils first before the others. It returns what could not be had,
// and what spoiled, in kg.
func ledger(s *season.Season, p *season.Plan, material int) (lacking, spoiled float64) {
	type lot struct {
		kg       float64
		from, to int
	}
	var lots []lot
	add := func(kg float64, week, keeps int) {
		to := math.MaxInt
		if keeps > 0 {
			to = week + keeps - 1
		}
		lots = append(lots, lot{kg, week, to})
	}
	for _, a := range s.Arrivals {
		if a.Material == material {
			add(a.Kg, a.Week, a.Keeps)
		}
	}
	for _, b := range p.Purchases {
		if o := s.Offers[b.Offer]; o.Material == material {
			add(b.Kg, b.Week, o.Keeps)
		}
	}
	slices.SortStableFunc(lots, func(a, b lot) int {
		if a.to < b.to {
			return -1
		} else if a.to > b.to {
			return 1
		}
		return 0
	})
	for week := 1; week <= s.Weeks; week++ {
		need := 0.0
		for _, b := range p.Batches {
			if b.Week == week {
				need += b.Kg[material]
			}
		}
		for c, cover := range s.Beds.Covers {
			if cover.Week == week && cover.Material.Name == s.Materials[material].Name {
				need += p.Laid[c].MassKg
			}
		}
		for k := range lots {
			if lots[k].from <= week && week <= lots[k].to {
				take := min(need, lots[k].kg)
				need -= take
				lots[k].kg -= take
			}
		}
		lacking += need
	}
	for _, l := range lots {
		if l.to <= s.Weeks {
			spoiled += l.kg
		}
	}
	return lacking, spoiled
}

// TestPlansHold checks random plans by arithmetic of the test's own.
func TestPlansHold(t *testing.T) {
	count := 40
	if testing.Short() || raced {
		count = 8
	}
	batches := 0
	for seed := range count {
		r := rand.New(rand.NewPCG(uint64(seed), 71))
		s := gardenSeason(r, 10+r.IntN(14), 4+r.IntN(6), 1+r.IntN(4), 3)
		if seed%3 == 0 {
			m := s.Materials[0]
			s.Beds.Covers = []season.Cover{{Name: "mulch", Material: m, VolumeM3: 0.4, MassKg: 0.4 * m.Composition.DensityKgM3, Week: s.Weeks / 2}}
		}
		if seed%4 == 1 {
			s.WorkM3, s.WaterKg = 4, 300
		}
		p, err := season.Solve(t.Context(), s, season.Settings{Time: 600 * time.Millisecond})
		require.NoErrorf(t, err, "seed %d", seed)
		batches += len(p.Batches)
		spoils := 0.0
		for i, v := range p.Stocks {
			came, gone := 0.0, 0.0
			for w := range s.Weeks {
				came += v.Came[w] + v.Bought[w]
				gone += v.Used[w] + v.Laid[w] + v.Spoiled[w]
				assert.InDeltaf(t, came, gone+v.Left[w], 1e-9*(1+came), "seed %d, %s, week %d: arrived + bought = used + spoiled + left", seed, s.Materials[i].Name, w+1)
			}
			inBatches, used := 0.0, 0.0
			for _, b := range p.Batches {
				inBatches += b.Kg[i]
			}
			for _, kg := range v.Used {
				used += kg
			}
			assert.InDeltaf(t, used, inBatches, 1e-9*(1+used), "seed %d, %s: what stocks lose is what batches hold", seed, s.Materials[i].Name)
			lacking, spoiled := ledger(s, p, i)
			spoils += spoiled
			assert.LessOrEqualf(t, lacking, 1e-9*(1+came), "seed %d, %s: used before it came or after it spoiled", seed, s.Materials[i].Name)
		}
		assert.InDeltaf(t, spoils, p.SpoiledKg(), 1e-3*(1+spoils), "seed %d", seed)
		assert.LessOrEqualf(t, spoils, p.Aims[2].Value+1e-4*(1+spoils), "seed %d: no more spoils than the program says", seed)
		full := map[[2]int]int{}
		work, water := make([]float64, s.Weeks+1), make([]float64, s.Weeks+1)
		for _, b := range p.Batches {
			mix := s.Mixture(b)
			assert.InDeltaf(t, 30, mix.CarbonToNitrogen(), 5.001, "seed %d, week %d", seed, b.Week)
			assert.InDeltaf(t, 0.55, mix.Moisture(), 0.0501, "seed %d, week %d", seed, b.Week)
			v := mix.BuiltVolumeM3(s.Shrink)
			assert.GreaterOrEqualf(t, v, s.LeastM3*(1-1e-6), "seed %d, week %d", seed, b.Week)
			assert.LessOrEqualf(t, v, s.Bays[b.Bay].SizeM3*(1+1e-6), "seed %d, week %d", seed, b.Week)
			for w := range s.Bays[b.Bay].HotWeeks {
				full[[2]int{b.Bay, b.Week + w}]++
			}
			work[b.Week] += mix.LooseVolumeM3()
			water[b.Week] += b.WaterKg
		}
		for at, n := range full {
			assert.Equalf(t, 1, n, "seed %d: bay %d holds %d batches in week %d", seed, at[0], n, at[1])
		}
		for w := range work {
			if s.WorkM3 > 0 {
				assert.LessOrEqualf(t, work[w], s.WorkM3*(1+1e-6), "seed %d, week %d", seed, w)
				assert.LessOrEqualf(t, water[w], s.WaterKg*(1+1e-6), "seed %d, week %d", seed, w)
			}
		}
		for _, b := range p.Purchases {
			assert.LessOrEqualf(t, b.Kg, s.Offers[b.Offer].WeeklyKg*(1+1e-6), "seed %d", seed)
			assert.GreaterOrEqualf(t, b.OrderWeek, 1, "seed %d", seed)
		}
		short := 0.0
		for _, b := range p.Served {
			short += b.ShortM3
		}
		for _, l := range p.Laid {
			short += l.ShortM3
		}
		assert.InDeltaf(t, short, p.Aims[0].Value, 2e-3*(1+short), "seed %d: beds lack what the program says", seed)
	}
	assert.Greater(t, batches, count)
}

// TestPlannedAnew does what the plan says for some weeks and plans anew: the
// rest of the old plan is still there to be found.
func TestPlannedAnew(t *testing.T) {
	for seed := range uint64(6) {
		s := gardenSeason(rand.New(rand.NewPCG(seed, 83)), 18, 6, 2, 4)
		s.Offers = nil // what was bought before is not told in Done
		first, err := season.Solve(t.Context(), s, season.Settings{Time: 2 * time.Second})
		require.NoError(t, err)
		again := *s
		again.From = 6
		for _, b := range first.Batches {
			if b.Week < again.From {
				again.Done = append(again.Done, season.Done{Week: b.Week, Bay: b.Bay, Kg: b.Kg, WaterKg: b.WaterKg})
			}
		}
		second, err := season.Solve(t.Context(), &again, season.Settings{Time: 2 * time.Second})
		require.NoErrorf(t, err, "seed %d", seed)
		assert.InDeltaf(t, first.ShortM3(), second.ShortM3(), 0.02*(1+first.ShortM3()), "seed %d", seed)
		for _, b := range second.Batches {
			assert.Equalf(t, b.Week < again.From, b.Done, "seed %d", seed)
		}
		for i, v := range second.Stocks {
			lacking, _ := ledger(&again, second, i)
			assert.LessOrEqualf(t, lacking, 1e-6*(1+v.Came[0]), "seed %d", seed)
		}
	}
}

// TestLessCame: where less came than was planned, the plan does with less.
func TestLessCame(t *testing.T) {
	s := gardenSeason(rand.New(rand.NewPCG(1, 83)), 18, 6, 2, 4)
	gone := *s
	gone.From = 3
	for w := 1; w < 3; w++ {
		d := season.Done{Week: w, Bay: -1}
		for range s.Materials {
			d.ArrivedKg = append(d.ArrivedKg, 0)
		}
		gone.Done = append(gone.Done, d)
	}
	p, err := season.Solve(t.Context(), &gone, season.Settings{})
	require.NoError(t, err)
	for _, v := range p.Stocks {
		assert.Zero(t, v.Came[0]+v.Came[1])
	}
}

// TestTimeLimit: however short the time, there is a plan, with its gap.
func TestTimeLimit(t *testing.T) {
	s := gardenSeason(rand.New(rand.NewPCG(2, 5)), 52, 24, 4, 12)
	p, err := season.Solve(t.Context(), s, season.Settings{Time: time.Millisecond})
	require.NoError(t, err)
	require.NoError(t, p.Check())
	for _, a := range p.Aims {
		assert.LessOrEqual(t, a.Bound, a.Value)
		assert.Truef(t, a.Proven || a.Gap > 0, "%+v", a)
	}
}

// TestYearOfABusyGarden is the size that was asked for: 52 weeks, 24 materials,
// some ways beyond what a market garden has.
func TestYearOfABusyGarden(t *testing.T) {
	if testing.Short() || raced {
		t.Skip("takes some seconds")
	}
	s := gardenSeason(rand.New(rand.NewPCG(1, 5)), 52, 24, 4, 12)
	p, err := season.Solve(t.Context(), s, season.Settings{Time: 4 * time.Second})
	require.NoError(t, err)
	require.NoError(t, p.Check())
	assert.True(t, p.Aims[0].Proven, "the shortage is proved least")
	for _, a := range p.Aims {
		t.Logf("%+v", a)
	}
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	assert.Less(t, m.Sys, uint64(300<<20), "memory from the system, in bytes")
}

// TestChanceOfOneBed compares with the distribution worked out by hand: one
// batch of sure size, one bed, so that only the share left is drawn.
func TestChanceOfOneBed(t *testing.T) {
	s := gardenSeason(rand.New(rand.NewPCG(4, 5)), 20, 6, 1, 1)
	for k := range s.Arrivals {
		s.Arrivals[k].LowKg, s.Arrivals[k].HighKg = s.Arrivals[k].Kg, s.Arrivals[k].Kg
	}
	for i := range s.Materials {
		s.Materials[i].Feedstock.Group = "yard"
	}
	p, err := season.Solve(t.Context(), s, season.Settings{})
	require.NoError(t, err)
	require.NotEmpty(t, p.Batches)
	one := *p
	one.Batches = p.Batches[:1]
	s.Beds.Beds[0].Week = s.Weeks
	v := s.Mixture(one.Batches[0]).BuiltVolumeM3(s.Shrink)
	for _, share := range []float64{0.3, 0.4, 0.5} {
		s.Beds.Beds[0].CompostM3 = v * share / 0.9 // nine tenths are enough
		got := one.Chances(s, 1)
		// PERT from 25 to 60 % with the mode at 40 %: a beta distribution on
		// that span, summed numerically.
		alpha, beta := 1+4*0.15/0.35, 1+4*0.20/0.35
		above, all := 0.0, 0.0
		const steps = 100_000
		for k := range steps {
			x := (float64(k) + 0.5) / steps
			d := math.Pow(x, alpha-1) * math.Pow(1-x, beta-1)
			all += d
			if 0.25+0.35*x >= share {
				above += d
			}
		}
		assert.InDelta(t, above/all, got.All, 0.035, "three standard errors of 2,000 draws")
		assert.Equal(t, got.All, got.Beds[0])
	}
}

// TestLowSide: the surer, the less is planned on; a half is about the middle.
func TestLowSide(t *testing.T) {
	s := gardenSeason(rand.New(rand.NewPCG(4, 5)), 12, 4, 1, 1)
	half, sure, surer := s.OnTheLowSide(0.5), s.OnTheLowSide(0.8), s.OnTheLowSide(0.95)
	for k, a := range s.Arrivals {
		assert.Less(t, surer.Arrivals[k].Kg, sure.Arrivals[k].Kg)
		assert.Less(t, sure.Arrivals[k].Kg, half.Arrivals[k].Kg)
		assert.Greater(t, surer.Arrivals[k].Kg, a.LowKg)
		assert.InEpsilon(t, a.Kg, half.Arrivals[k].Kg, 0.05)
	}
}

// TestBadSeasons: what makes no sense is refused with where it stands.
func TestBadSeasons(t *testing.T) {
	for _, c := range []struct {
		name string
		harm func(*season.Season)
		says string
	}{
		{"no weeks", func(s *season.Season) { s.Weeks = 0 }, "1 to 260 weeks"},
		{"too many", func(s *season.Season) { s.Weeks = 261 }, "1 to 260 weeks"},
		{"from", func(s *season.Season) { s.From = 99 }, "week 99"},
		{"no bay", func(s *season.Season) { s.Bays = nil }, "no bay"},
		{"nothing", func(s *season.Season) { s.Materials = nil }, "nothing is on hand"},
		{"shrink", func(s *season.Season) { s.Shrink = 1 }, "mixing shrink"},
		{"nan", func(s *season.Season) { s.LeastM3 = math.NaN() }, "numbers from 0"},
		{"least", func(s *season.Season) { s.LeastM3 = 50 }, "does not fit"},
		{"order", func(s *season.Season) { s.MostM3 = 0.1 }, "larger than the most"},
		{"density", func(s *season.Season) { s.Materials[0].Composition.DensityKgM3 = math.NaN() }, "bulk density"},
		{"no size", func(s *season.Season) { s.Bays[0].SizeM3 = 0 }, "no size"},
		{"bed", func(s *season.Season) { s.Beds.Beds[0].Week = 0 }, "wants compost in week 0"},
		{"target", func(s *season.Season) { s.Targets = []blend.Target{{}} }, "target"},
	} {
		s := gardenSeason(rand.New(rand.NewPCG(4, 5)), 12, 4, 1, 1)
		c.harm(s)
		_, err := season.Solve(t.Context(), s, season.Settings{})
		assert.ErrorContains(t, err, c.says, c.name)
	}
}

// TestAllBought: where nothing comes of itself, what spoils is still measured
// against something, and to let nothing spoil binds no week to what the plan
// so far does in it: a gram that comes in the last week lets a plan do with no
// batch fewer.
func TestAllBought(t *testing.T) {
	for seed := uint64(30); seed < 40; seed++ {
		s := gardenSeason(rand.New(rand.NewPCG(seed, 5)), 16, 4, 2, 4)
		s.Arrivals, s.Offers = nil, nil
		for i, m := range s.Materials {
			s.Offers = append(s.Offers, season.Offer{
				Name: m.Name, Material: i, PricePerKg: 0.01 * float64(i+1),
				WeeklyKg: 2 * m.Composition.DensityKgM3, TotalKg: math.Inf(1), Keeps: 2,
			})
		}
		p, err := season.Solve(t.Context(), s, season.Settings{Time: 20 * time.Second})
		require.NoErrorf(t, err, "seed %d", seed)
		for _, a := range p.Aims {
			assert.Truef(t, a.Proven && a.Gap <= 0.02, "seed %d: %+v", seed, a)
		}
		dusty := *s
		dusty.Arrivals = []season.Arrival{{Name: "dust", Material: 0, Week: 16, Kg: 1e-3}}
		q, err := season.Solve(t.Context(), &dusty, season.Settings{Time: 20 * time.Second})
		require.NoErrorf(t, err, "seed %d", seed)
		assert.Equalf(t, q.Aims[3].Value, p.Aims[3].Value, "seed %d", seed)
	}
}

// TestLimitsBeyondGap: no change is said to save from spoiling what the season
// could save as it is, by a plan within the gap of the one that is compared.
func TestLimitsBeyondGap(t *testing.T) {
	told := 0
	for seed := uint64(1); seed < 6; seed++ {
		s := gardenSeason(rand.New(rand.NewPCG(seed, 29)), 16, 6, 2, 4)
		p, err := season.Solve(t.Context(), s, season.Settings{})
		require.NoErrorf(t, err, "seed %d", seed)
		exact, err := season.Solve(t.Context(), s, season.Settings{Exact: true})
		require.NoErrorf(t, err, "seed %d", seed)
		limits, err := p.Limits(t.Context(), season.Settings{})
		require.NoErrorf(t, err, "seed %d", seed)
		for _, l := range limits {
			if l.SpoiledKg > 0 {
				told++
				assert.Greaterf(t, l.SpoiledKg, p.SpoiledKg()-exact.SpoiledKg()+0.01, "seed %d: %s", seed, l)
			}
		}
	}
	assert.Positive(t, told)
}
