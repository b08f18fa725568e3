package pile

// run is a stretch of days on end that count.
type run struct{ from, to, turns int }

func (r run) days() int { return r.to - r.from + 1 }

// runs lists the stretches of days that count, with the turnings in each.
func (j *judging) runs() []run {
	var out []run
	before := -1
	for i, d := range j.Days {
		if !d.Counts {
			continue
		}
		if i == 0 || !j.Days[i-1].Counts {
			out = append(out, run{from: i})
			before = -1
		}
		now := &out[len(out)-1]
		now.to = i
		if len(d.Turnings) > 0 && (before < 0 || i-before >= j.Rule.TurnGap) {
			now.turns++
			before = i
		}
	}
	return out
}

// hotDays judges so many days at the threshold with so many turnings.
func (j *judging) hotDays() {
	r := j.Rule
	var best run
	found := false
	for _, now := range j.runs() {
		if !found || now.days() > best.days() {
			best, found = now, true
		}
		j.UnbrokenMet = j.UnbrokenMet || now.days() >= r.Days && now.turns >= r.Turns
	}
	if found {
		j.Longest, j.LongestTurns = best.days(), best.turns
		j.LongestFrom, j.LongestTo = j.Days[best.from].Day, j.Days[best.to].Day
	}
	j.OneByOneMet = j.Counted >= r.Days && j.TurnsCounted >= r.Turns
	if r.Counting == Unbroken {
		j.settle(j.UnbrokenMet)
		if j.Longest < r.Days {
			j.miss("%s at %s on end", j.more(r.Days-j.Longest, "day", j.Longest), j.log.Asked(r))
		}
		if j.LongestTurns < r.Turns {
			j.miss("%s within the run", j.more(r.Turns-j.LongestTurns, "turning", j.LongestTurns))
		}
	} else {
		j.settle(j.OneByOneMet)
		if j.Counted < r.Days {
			j.miss("%s at %s", j.more(r.Days-j.Counted, "day", j.Counted), j.log.Asked(r))
		}
		if j.TurnsCounted < r.Turns {
			j.miss("%s in the hot period", j.more(r.Turns-j.TurnsCounted, "turning", j.TurnsCounted))
		}
	}
	if r.TurnGap == 0 && r.Turns > 0 && j.TurnsCounted >= r.Turns {
		if a, b, hot, bunched := j.bunched(); bunched {
			j.note("turnings are bunched: %s and %s have %s between them that count; three or more let each part have its time in the core", j.log.DayName(a), j.log.DayName(b), some(hot, "day"))
		}
	}
}

// more words a shortfall: "15 days", "3 more days".
func (j *judging) more(n int, thing string, have int) string {
	if have > 0 {
		if n == 1 {
			return "1 more " + thing
		}
		return number(float64(n), 0) + " more " + thing + "s"
	}
	return some(n, thing)
}

// bunched finds two turnings that count with fewer than three days between
// them that count (a rule of thumb: S. Brown, University of Washington).
func (j *judging) bunched() (a, b Day, hot int, found bool) {
	const apart = 3
	before, count := -1, 0
	for i, d := range j.Days {
		turned := false
		for _, t := range j.Turns {
			turned = turned || t.Counts && t.Day.Date.Equal(d.Date)
		}
		if turned {
			if before >= 0 && count < apart {
				return j.Days[before].Day, d.Day, count, true
			}
			before, count = i, 0
		}
		if d.Counts {
			count++
		}
	}
	return a, b, 0, false
}

// hotBeforeTurns judges so many days at the threshold before each of so many
// turnings. A day serves one turning only. The day of a turning serves it only
// where the days before do not suffice, so that as many turnings count as can.
func (j *judging) hotBeforeTurns() {
	r := j.Rule
	used := -1 // the last day that has served
	j.TurnsCounted = 0
	for i := range j.Turns {
		t := &j.Turns[i]
		t.Counts = false
		day := -1
		for k, d := range j.Days {
			if d.Date.Equal(t.Day.Date) {
				day = k
			}
		}
		switch {
		case day < 0:
			continue
		case i > 0 && j.Turns[i-1].Day.Date.Equal(t.Day.Date):
			t.Why = "the second turning of one day"
			continue
		}
		most := 0
		for _, end := range []int{day - 1, day} {
			n := j.hotUntil(end, used)
			most = max(most, n)
			if n >= r.Days {
				t.Counts, t.Why, used = true, "", end
				j.TurnsCounted++
				break
			}
		}
		if !t.Counts {
			onEnd := ""
			if r.Counting == Unbroken {
				onEnd = " on end"
			}
			t.Why = some(most, "day") + onEnd + " at " + j.log.Asked(r) + " before it, of " + number(float64(r.Days), 0)
		}
	}
	for _, now := range j.runs() {
		if now.days() > j.Longest {
			j.Longest, j.LongestTurns = now.days(), now.turns
			j.LongestFrom, j.LongestTo = j.Days[now.from].Day, j.Days[now.to].Day
		}
	}
	met := j.TurnsCounted >= r.Turns
	j.OneByOneMet, j.UnbrokenMet = met && r.Counting != Unbroken, met && r.Counting == Unbroken
	j.settle(met)
	if !met {
		onEnd := ""
		if r.Counting == Unbroken {
			onEnd = " on end"
		}
		j.miss("%s with %s%s at %s before each", j.more(r.Turns-j.TurnsCounted, "turning", j.TurnsCounted), some(r.Days, "day"), onEnd, j.log.Asked(r))
	}
}

// hotUntil counts the days that count, after the day used and up to and with
// the day end; on end where the rule says so.
func (j *judging) hotUntil(end, used int) int {
	n := 0
	for k := end; k > used; k-- {
		if j.Days[k].Counts {
			n++
		} else if j.Rule.Counting == Unbroken {
			break
		}
	}
	return n
}
