package feedstocks_test

import (
	"fmt"
	"log"

	"heapwright/feedstocks"
)

func Example() {
	lib, err := feedstocks.Default()
	if err != nil {
		log.Fatal(err)
	}
	leaves, err := lib.Find("autumn leaves")
	if err != nil {
		log.Fatal(err)
	}
	n := leaves.Properties[feedstocks.Nitrogen]
	source, _ := lib.Source(n.Source)
	fmt.Println(leaves.Title)
	fmt.Printf("nitrogen %.2f (%.2f to %.2f) %s, %s in %s %d\n",
		100*n.Typical, 100*n.Low, 100*n.High, feedstocks.Nitrogen.Unit(), n.Standing, source.Author, source.Year)

	_, err = lib.Find("wood chips")
	fmt.Println(err)
	// Output:
	// Autumn leaves, mixed, loose and dry
	// nitrogen 0.94 (0.66 to 1.62) % of dry matter, read in Heckman and Kluchinski 1996
	// feedstocks: no material called "wood chips"; did you mean softwood chips, young wood chips or hardwood chips?
}

func ExampleMeasures_Parse() {
	m := feedstocks.DefaultMeasures()
	for _, text := range []string{"14 sacks", "1 1/2 barrows", "2,5 m3", "3 barows"} {
		q, err := m.Parse(text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		m3, _ := q.M3(0)
		fmt.Printf("%s = %.3f m3\n", q, m3)
	}
	// Output:
	// 14 sacks = 1.540 m3
	// 1.5 barrows = 0.128 m3
	// 2.5 m3 = 2.500 m3
	// feedstocks: "3 barows": "barows" is not a unit or measure that is known; did you mean barrow?; a measure of your own needs its size, as in sack = "110 L"
}

func ExampleFeedstock_Composition() {
	lib, err := feedstocks.Default()
	if err != nil {
		log.Fatal(err)
	}
	sawdust, err := lib.Find("sawdust")
	if err != nil {
		log.Fatal(err)
	}
	c, err := sawdust.Composition()
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("carbon %.1f %%, nitrogen %.3f %% of dry matter (%s)\n", 100*c.Carbon, 100*c.Nitrogen, c.CarbonFrom)
	fmt.Println(c.Notes[0])

	office, err := lib.Find("office paper")
	if err != nil {
		log.Fatal(err)
	}
	_, err = office.With(feedstocks.Moisture, feedstocks.Measured(0.06)).Composition()
	fmt.Println(err)
	// Output:
	// carbon 55.6 %, nitrogen 0.126 % of dry matter (1 / 1.8, ash not known)
	// nitrogen x C:N would be 106 % carbon and ash is not known, so carbon is taken as 55.6 %, the most there can be, and nitrogen from C:N (0.126 %)
	// feedstocks: office paper: no figure for nitrogen and C:N: give nitrogen (or carbon), per cent of dry matter, from a laboratory sheet; give carbon_to_nitrogen (or carbon, or ash) from a laboratory sheet
}

func ExampleBucket_Density() {
	found, err := feedstocks.Bucket{
		VolumeM3: 0.010, EmptyKg: 0.6, FullKg: []float64{4.9, 5.2},
	}.Density()
	if err != nil {
		log.Fatal(err)
	}
	for _, step := range found.Steps {
		fmt.Println(step)
	}
	d := found.Figures[0]
	fmt.Printf("%.0f (%.0f to %.0f) %s\n", d.Typical, d.Low, d.High, d.Kind.Unit())
	// Output:
	// density = (full - empty) / volume, with empty 0.6 kg and volume 10 L
	// fill 1: (4.9 - 0.6) kg / 10 L = 4.3 kg / 10 L = 430 kg/m3
	// fill 2: (5.2 - 0.6) kg / 10 L = 4.6 kg / 10 L = 460 kg/m3
	// mean of 2 fills: 445 kg/m3
	// 445 kg/m3 = 750.1 lb/yd3 = 0.445 kg/L
	// range: 29.84 kg/m3 either way (7 %)
	// 445 (415 to 475) kg/m3
}

func ExampleSetFigures() {
	found, err := feedstocks.Squeeze("drips", false)
	if err != nil {
		log.Fatal(err)
	}
	plan := "[feedstock.leaves]   # under the hedge\nmoisture = 38         # last autumn\n"
	text, err := feedstocks.SetFigures([]byte(plan), "plan.toml", "leaves", found.Figures)
	fmt.Printf("%s%v\n", text, err)
	// Output:
	// [feedstock.leaves]   # under the hedge
	// moisture = { low = 60, typical = 62, high = 65, shape = "normal", source = "hand squeeze, drips" }         # last autumn
	// <nil>
}
