package pile_test

import (
	"fmt"
	"strings"

	"heapwright/blend/pile"
)

const bay = `date,core (C),edge (C),event
2026-05-01,20,18,
2026-05-02,48,41,
2026-05-03,60,56,
2026-05-04,62,57,
2026-05-05,61,56,turned
2026-05-06,55,49,
`

// A log is held against a rule: which days count, and what is still missing.
func ExampleJudge() {
	log, err := pile.Read(strings.NewReader(bay), "bay.csv", pile.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	v := pile.Judge(log, pile.FindRules("us-produce-turned")[0], pile.Choice{})
	fmt.Printf("%s: %d days and %d turnings count\n", v.Outcome, v.Counted, v.TurnsCounted)
	fmt.Println("missing:", strings.Join(v.Missing, "; "))
	fmt.Println("6 May:", v.Days[5].Why)
	// Output:
	// not met: 3 days and 1 turnings count
	// missing: 12 more days at 55 C or more; 4 more turnings in the hot period
	// 6 May: lowest 49 C (edge), under 55 C; a dip after a turning is normal
}

// The course of a pile says what stage it is in, and what to do today.
func ExampleCourse_Advise() {
	log, err := pile.Read(strings.NewReader(bay), "bay.csv", pile.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	course := pile.Follow(log)
	advice := course.Advise(pile.Circumstances{})[0]
	fmt.Println(course.Phase().Kind, "-", advice.Action)
	fmt.Println(advice.Text)
	// Output:
	// hot - wait
	// Wait: it is as it should be. Turn it after 2 more days like this.
}
