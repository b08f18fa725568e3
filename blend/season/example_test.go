package season_test

import (
	"context"
	"fmt"
	"log"
	"strings"

	"heapwright/blend/season"
	"heapwright/feedstocks"
)

func ExampleParseSize() {
	size, err := season.ParseSize("10 of 0.75 m x 15 m x 25 mm", feedstocks.DefaultMeasures())
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.1f m2, %.2f m3\n", size.AreaM2, season.NewBed("carrots", size, false).CompostM3)
	// Output:
	// 112.5 m2, 2.81 m3
}

func ExampleSolve() {
	file, err := season.ReadFile(strings.NewReader(`
weeks = 12
[on_hand]
leaves = "40 sacks"
[arrival."grass clippings"]
amount = "8 barrows"
[bay.one]
size = "2 m3"
hot_weeks = 3
curing_weeks = 4
[bed.leeks]
size = "1 m3"
week = 12
`), "season.toml")
	if err != nil {
		log.Fatal(err)
	}
	library, err := feedstocks.Default()
	if err != nil {
		log.Fatal(err)
	}
	s, err := file.Season(library, 1)
	if err != nil {
		log.Fatal(err)
	}
	plan, err := season.Solve(context.Background(), s, season.Settings{})
	if err != nil {
		log.Fatal(err)
	}
	first := s.Mixture(plan.Batches[0])
	fmt.Printf("%d batches, the first in range: %v\n", len(plan.Batches), first.CarbonToNitrogen() < 35.001 && first.Moisture() > 0.499)
	fmt.Printf("leeks lack %.1f m3\n", plan.ShortM3())
	// Output:
	// 3 batches, the first in range: true
	// leeks lack 0.0 m3
}
