package season_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"heapwright/blend"
	"heapwright/blend/season"
	"heapwright/feedstocks"
)

// gardenSeason invents the season of a market garden: green and brown
// materials that come by the week or now and then, some that can be bought,
// and beds that want compost from the time on when the first can be ready.
func gardenSeason(r *rand.Rand, weeks, materials, bays, beds int) *season.Season {
	s := &season.Season{
		Weeks: weeks, Shrink: blend.DefaultShrink, WaterKg: math.Inf(1), LeastM3: 0.8,
	}
	for i := range materials {
		c := feedstocks.Composition{Lignin: math.NaN(), Phosphate: math.NaN(), Potash: math.NaN(), VolatileSolids: 0.85}
		ratio := 8 + 15*r.Float64()
		if i%2 == 1 {
			ratio = 40 + 80*r.Float64()
		}
		c.Carbon = 0.38 + 0.1*r.Float64()
		c.Nitrogen = c.Carbon / ratio
		c.Moisture = 0.1 + 0.7*r.Float64()
		c.DensityKgM3 = 80 + 500*r.Float64()
		keeps := []int{1, 2, 4, 0}[r.IntN(4)]
		group := "yard"
		if i%3 == 0 {
			group = "manure"
		}
		s.Materials = append(s.Materials, blend.Material{
			Name: fmt.Sprintf("material %d", i+1), Composition: c, Feedstock: &feedstocks.Feedstock{Group: group},
		})
		often := 1 + r.IntN(4)
		for w := 1; w <= weeks; w++ {
			if r.IntN(often) > 0 {
				continue
			}
			kg := c.DensityKgM3 * (0.05 + 0.4*r.Float64()) * 6 / float64(materials)
			s.Arrivals = append(s.Arrivals, season.Arrival{Name: s.Materials[i].Name, Material: i, Week: w, Kg: kg, LowKg: 0.6 * kg, HighKg: 1.2 * kg, Keeps: keeps})
		}
		if r.IntN(6) == 0 {
			s.Offers = append(s.Offers, season.Offer{
				Name: s.Materials[i].Name, Material: i, PricePerKg: 0.02 + 0.2*r.Float64(),
				WeeklyKg: c.DensityKgM3 * (0.5 + r.Float64()), TotalKg: math.Inf(1), Lead: r.IntN(3), Keeps: keeps,
			})
		}
	}
	for j := range bays {
		s.Bays = append(s.Bays, season.Bay{Name: fmt.Sprintf("bay %d", j+1), SizeM3: 2.5 + float64(j/3), HotWeeks: 4, CuringWeeks: min(6, weeks/6)})
	}
	ready := s.Bays[0].Ready() + 1
	for b := range beds {
		w := ready
		if weeks > ready {
			w += r.IntN(weeks - ready)
		}
		if w > weeks {
			w = weeks
		}
		v := (0.3 + r.Float64()) * float64(weeks) / 52 * float64(bays)
		s.Beds.Beds = append(s.Beds.Beds, season.Bed{Name: fmt.Sprintf("bed %d", b+1), CompostM3: v, Week: w})
	}
	return s
}
