package pile_test

import (
	"fmt"
	"strings"
	"time"

	"heapwright/blend/pile"
)

func ExampleRead() {
	log, err := pile.Read(strings.NewReader(`date;core (°C);edge (°C);note
03.11.2026;41,5;30;
04.11.2026;58;44,5;steam
05.11.2026;580;46;
06.11.2026;61,5;48;turned
`), "bay.csv", pile.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(log.Used, "readings,", len(log.Events), "events")
	for _, d := range log.Doubts {
		fmt.Printf("line %d, %s: %s\n", d.Line, d.Text, d.Reason)
	}
	// Output:
	// 7 readings, 2 events
	// line 4, 2026-11-05 core 580 C: hotter than any heap that does not burn: a fault or a slip; if the heap smokes, call the fire service
}

func ExampleAppend() {
	log := []byte("date,time,core (F),event\n11/13/2026,8:00 AM,120,\n")
	_, row, err := pile.Append(log, "bay.csv", pile.Addition{
		Now:          time.Date(2026, 11, 14, 18, 5, 0, 0, time.UTC),
		Temperatures: []pile.Measured{{Probe: "core", Value: 58, Unit: "C"}},
		Turned:       true,
	}, pile.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(row)
	// Output:
	// 11/14/2026,6:05 PM,136.4,turned
}

func ExampleSuggest() {
	fmt.Println(pile.Suggest(1.6, pile.Metres))
	fmt.Println(pile.Suggest(1.6, pile.Feet))
	// Output:
	// a bay 1.2 x 1.2 m filled to 1.1 m, or a heap 2.0 m across and 1.0 m high
	// a bay 4 x 4 ft filled to 3.5 ft, or a heap 6.5 ft across and 3.5 ft high
}
