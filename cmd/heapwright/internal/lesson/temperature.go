package lesson

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"heapwright/blend/pile"
)

// threshold is where most of the published figures begin, in C.
const threshold = 55

// week is how many days a row of a log has.
const week = 7

// course draws the core of a heap day by day from day 1: it warms for some
// days, then lies about a level, dips after a turning, and the level falls.
func (d *drawing) course(days int, turned map[int]bool) []int {
	level := d.among(57, 64, 1)
	now := d.among(16, 28, 1)
	var out []int
	for day := 1; day <= days; day++ {
		out = append(out, now)
		switch next := now + d.among(9, 16, 1); {
		case turned[day]:
			now -= d.among(6, 12, 1)
		case next < level:
			now = next
		default:
			now = level + d.among(-5, 3, 1)
		}
	}
	return out
}

// logOf makes the log that the tool would read: a reading a day of each probe.
func logOf(probes [][]int, turned map[int]bool) *pile.Log {
	l := &pile.Log{Start: pile.DayZero(), Unit: "C", DateOnly: true}
	at := func(day int) time.Time { return pile.DayZero().AddDate(0, 0, day) }
	for i := range probes[0] {
		for p, readings := range probes {
			c := float64(readings[i])
			l.Readings = append(l.Readings, pile.Reading{Time: at(i + 1), Probe: "probe " + strconv.Itoa(p+1), Celsius: c, Entered: c, Unit: "C"})
		}
		if turned[i+1] {
			l.Events = append(l.Events, pile.Event{Time: at(i + 1), Kind: pile.Turned})
		}
	}
	return l
}

// weeks lays a log out, a table a week. Rows are named, and their cells stand
// for day 1, 2 ...
func weeks(days int, names []string, cell func(row, day int) string) []Block {
	var out []Block
	for from := 1; from <= days; from += week {
		b := Block{Head: []string{"day"}}
		for row, name := range names {
			cells := []string{name}
			for day := from; day < from+week && day <= days; day++ {
				if row == 0 {
					b.Head = append(b.Head, strconv.Itoa(day))
				}
				cells = append(cells, cell(row, day))
			}
			b.Rows = append(b.Rows, cells)
		}
		out = append(out, b)
	}
	return out
}

// peak finds the highest reading, which must be the only one as high.
func (d *drawing) peak(c *pile.Course) (celsius, day string) {
	same := 0
	for _, on := range c.Days {
		for _, r := range on.Readings {
			if r.Celsius == c.Peak.Celsius {
				day = strconv.Itoa(on.Number)
				same++
			}
		}
	}
	d.want(same == 1)
	return plain(c.Peak.Celsius), day
}

// listed joins day numbers: "day 3, 4, 5".
func listed(days []int) string {
	var s []string
	for _, n := range days {
		s = append(s, strconv.Itoa(n))
	}
	if len(s) == 0 {
		return "none"
	}
	return "day " + strings.Join(s, ", ")
}

// hot lists the days on which the reading chosen is at the threshold or over.
func hot(c *pile.Course, of func(pile.Day) (pile.Reading, bool)) []int {
	var out []int
	for _, day := range c.Days {
		if r, ok := of(day); ok && r.Celsius >= threshold {
			out = append(out, day.Number)
		}
	}
	return out
}

func logOfOneProbe(d *drawing) Problem {
	days := d.among(8, 12, 1)
	core := d.course(days, nil)
	c := pile.Follow(logOf([][]int{core}, nil))
	celsius, day := d.peak(c)
	counted := hot(c, pile.Day.High)
	d.want(len(counted) >= 2 && len(counted) < days-2 && c.Above[0].Highest == len(counted))
	rise := core[1] - core[0]
	says := append([]Block{say("A class reads the thermometer in its heap every day, in degrees C:")},
		weeks(days, []string{"C"}, func(_, day int) string { return strconv.Itoa(core[day-1]) })...)
	return Problem{Says: says, Asks: []Ask{
		{"What is the highest temperature, and on which day?", celsius + " C on day " + day, []string{"the largest of all the readings"}},
		{fmt.Sprintf("On how many days is it %d C or more?", threshold), tally(len(counted), "day"), []string{listed(counted)}},
		{"By how many degrees C does it rise from day 1 to day 2?", strconv.Itoa(rise) + " C", []string{fmt.Sprintf("%d - %d = %d C", core[1], core[0], rise)}},
	}}
}

// daysToTurn is how many days at the threshold a pile has before it is turned
// (rule of thumb: S. Brown, University of Washington, as in blend/pile).
const daysToTurn = 3

func logOfTwoProbes(d *drawing) Problem {
	days := d.among(9, 13, 1)
	core := d.course(days, nil)
	edge := make([]int, days)
	for i := range core {
		edge[i] = core[i] - d.among(0, 8, 1)
	}
	both := [][]int{core, edge}
	c := pile.Follow(logOf(both, nil))
	celsius, day := d.peak(c)
	low, high := hot(c, pile.Day.Low), hot(c, pile.Day.High)
	d.want(c.Above[0].Lowest == len(low) && c.Above[0].Highest == len(high))
	d.want(len(low) >= 1 && len(high) >= daysToTurn && len(low) < len(high))
	if d.unclean {
		return Problem{}
	}
	turn := high[daysToTurn-1]
	names := []string{"core, C", "edge, C"}
	says := append([]Block{say("A heap is read every day by two probes. It has not been turned yet.")},
		weeks(days, names, func(row, day int) string { return strconv.Itoa(both[row][day-1]) })...)
	return Problem{Says: says, Asks: []Ask{
		{"What is the highest temperature, and on which day?", celsius + " C on day " + day, []string{"the largest of all the readings, of both probes"}},
		{fmt.Sprintf("On how many days are both probes at %d C or more?", threshold), tally(len(low), "day"), []string{"the lower reading of the day decides: " + listed(low)}},
		{fmt.Sprintf("On how many days is at least one of them at %d C or more?", threshold), tally(len(high), "day"), []string{"the higher reading of the day decides: " + listed(high)}},
		{fmt.Sprintf("By a rule of thumb a heap is turned when its hotter probe has shown %d C or more on %d days. On which day is that so for the first time?", threshold, daysToTurn), "day " + strconv.Itoa(turn), []string{listed(high[:daysToTurn]) + " (rule of thumb: S. Brown, University of Washington)"}},
	}}
}

// taught is the rule that the sheets hold a log against.
func taught() pile.Rule { return pile.FindRules("us-produce-turned")[0] }

func logAgainstRule(d *drawing) Problem {
	rule := taught()
	days := 4*week - d.among(0, 4, 1)
	turned := map[int]bool{}
	for day := d.among(4, 8, 1); day < days; day += d.among(3, 5, 1) {
		turned[day] = true
	}
	lowest := d.course(days, turned)
	log := logOf([][]int{lowest}, turned)
	v := pile.Judge(log, rule, pile.Choice{})
	counted := hot(pile.Follow(log), pile.Day.Low)
	d.want(v.Counted == len(counted) && v.Counted >= 6 && v.TurnsCounted >= 2)
	var turns []int
	for _, t := range v.Turns {
		if t.Counts {
			turns = append(turns, t.Day.Number)
		}
	}
	verdict, missing := "yes", "nothing is missing"
	if !v.OneByOneMet {
		verdict, missing = "no", "missing: "+strings.Join(lacks(v), " and ")
	}
	if d.unclean {
		return Problem{}
	}
	says := append([]Block{say("The lowest reading of each day, and the days on which the heap was turned (T), after that day's reading:")},
		weeks(days, []string{"lowest, C", "turned"}, func(row, day int) string {
			switch {
			case row == 0:
				return strconv.Itoa(lowest[day-1])
			case turned[day]:
				return "T"
			}
			return "-"
		})...)
	says = append(says, say(fmt.Sprintf("A published rule asks for %d days at %d C or more, which need not follow one another, and %d turnings in that time, from the first to the last day that counts, these two days included.", rule.Days, threshold, rule.Turns)))
	return Problem{Says: says, Asks: []Ask{
		{"How many days count?", tally(v.Counted, "day"), []string{listed(counted)}},
		{"How many days is the longest run of days that count?", tally(v.Longest, "day"), []string{"days that follow one another with none between them that does not count"}},
		{"How many turnings count?", tally(v.TurnsCounted, "turning"), []string{fmt.Sprintf("from day %d to day %d: %s", counted[0], counted[len(counted)-1], listed(turns))}},
		{"Are the figures of the rule met?", verdict, []string{
			fmt.Sprintf("%d of %d days, %d of %d turnings: %s", v.Counted, rule.Days, v.TurnsCounted, rule.Turns, missing),
			fmt.Sprintf("the rule: %s, %s (%s); whether it holds where you are, your local rules say", rule.Name, rule.Source, rule.Standing),
		}},
	}}
}

// lacks words what a log lacks.
func lacks(v *pile.Verdict) []string {
	var out []string
	if n := v.Rule.Days - v.Counted; n > 0 {
		out = append(out, tally(n, "day"))
	}
	if n := v.Rule.Turns - v.TurnsCounted; n > 0 {
		out = append(out, tally(n, "turning"))
	}
	return out
}
