package report

import (
	"fmt"
	"slices"
	"strings"

	"heapwright/blend"
)

// Most lines of each kind of reason, unless all are asked for.
const (
	mostLimits  = 3
	mostRepairs = 4
)

// reasons are the reasons of an answer in sentences.
type reasons struct{ cause, mend, limits []string }

// reasonsOf puts the reasons in sentences.
func reasonsOf(a *Answer, o Options) reasons {
	var out reasons
	if a.Reasons == nil {
		return out
	}
	why := a.Reasons
	if s := why.Sentence(); s != "" {
		out.cause = append(out.cause, s)
	}
	if why.Reach != nil && (o.Why || len(why.Conflict) > 0) {
		c, m := why.Reach.CarbonToNitrogen, why.Reach.Moisture
		water := between(fmt.Sprintf("%.0f", 100*m.Low), fmt.Sprintf("%.0f", 100*m.High), " %")
		if m.High > 0.995 {
			water = fmt.Sprintf("from %.0f %% up, with water", 100*m.Low)
		}
		out.cause = append(out.cause, fmt.Sprintf("Within reach, each by itself: C:N %s, moisture %s.", between(one(c.Low), one(c.High), ""), water))
	}
	repairs := why.Repairs
	if !o.Why {
		repairs = repairs[:min(len(repairs), mostRepairs)]
	}
	for _, r := range repairs {
		out.mend = append(out.mend, repairSentence(a.Recipe.Problem, r, o))
	}
	exact := a.Recipe // the reasons are those of the exact, nearest mix
	switch {
	case a.Sure != nil:
		exact = a.Sure.Nearest
	case exact.Exact != nil:
		exact = exact.Exact
	}
	if exact.Status == blend.OutOfReach && len(why.Repairs) == 0 {
		out.mend = append(out.mend, nothingMends(a.Recipe.Problem))
	}
	limits := why.Limits
	if !o.Why {
		limits = limits[:min(len(limits), mostLimits)]
	}
	for _, l := range limits {
		out.limits = append(out.limits, limitSentence(exact, l, o))
	}
	if len(limits) > 0 && len(why.Idle) > 0 {
		out.limits = append(out.limits, fmt.Sprintf("More of these would change nothing: %s.", strings.Join(why.Idle, ", ")))
	}
	return out
}

// between writes a range, or the one value that it is.
func between(low, high, unit string) string {
	if low == high {
		return low + unit + " alone"
	}
	return "from " + low + " to " + high + unit
}

// reasonLines wraps the reasons for text.
func reasonLines(a *Answer, o Options) reasons {
	sentences := reasonsOf(a, o)
	wrapAll := func(items []string) []string {
		var lines []string
		for _, item := range items {
			lines = append(lines, wrap(item, "  - ", "    ")...)
		}
		return lines
	}
	return reasons{wrapAll(sentences.cause), wrapAll(sentences.mend), wrapAll(sentences.limits)}
}

func repairSentence(on *blend.Problem, r blend.Repair, o Options) string {
	var what []string
	for _, a := range r.Additions {
		q := a.Material.Measured(a.AmountKg)
		text := measured(q) + " of " + a.Material.Name
		if slices.ContainsFunc(on.Materials, func(m blend.Material) bool { return m.Name == a.Material.Name }) {
			text = measured(q) + " more of " + a.Material.Name
		}
		if q.Unit.Name != "kg" {
			text += " (" + o.Units.mass(a.AmountKg) + ")"
		}
		what = append(what, text)
	}
	s := fmt.Sprintf("Get %s: C:N %s, moisture %.0f %%", strings.Join(what, " and "), one(r.Recipe.Figures.CarbonToNitrogen), 100*r.Recipe.Figures.Moisture)
	if known(r.Recipe.Figures.VolumeM3) {
		s += ", a pile of " + o.Units.volume(r.Recipe.Figures.VolumeM3)
	}
	if r.Cost > 0 {
		s += fmt.Sprintf(", for %.2f", r.Cost)
	}
	if all := allSentence(r); all != "" {
		s += " (" + all + " would let all that is on hand go in)"
	}
	return s + "."
}

// allSentence names what lets all that is on hand go in; "" where nothing does,
// or where that is no more than the repair itself.
func allSentence(r blend.Repair) string {
	more := len(r.AllAdditions) != len(r.Additions)
	var what []string
	for k, a := range r.AllAdditions {
		more = more || a.Material.Name != r.Additions[k].Material.Name || a.AmountKg > r.Additions[k].AmountKg
		q := measured(a.Material.Measured(a.AmountKg))
		if len(r.Additions) > 1 {
			q += " of " + a.Material.Name
		}
		what = append(what, q)
	}
	if !more {
		return ""
	}
	return strings.Join(what, " and ")
}

func limitSentence(r *blend.Recipe, l blend.Limit, o Options) string {
	if l.Key == "size" {
		what := "The size asked for"
		if r.Problem.Pile.SizeM3 == 0 {
			what = "The size of the bay"
		}
		return what + ": what is on hand would make " + o.Units.volume(l.Recipe.Figures.VolumeM3) + "."
	}
	var nearer, gains []string
	was, is := r.Figures, l.Recipe.Figures
	if l.Distance > 0.005 {
		t := r.Problem.Target
		if t.CarbonToNitrogen.Distance(is.CarbonToNitrogen) < t.CarbonToNitrogen.Distance(was.CarbonToNitrogen)-0.005 {
			nearer = append(nearer, fmt.Sprintf("C:N from %s to %s", one(was.CarbonToNitrogen), one(is.CarbonToNitrogen)))
		}
		if t.Moisture.Distance(is.Moisture) < t.Moisture.Distance(was.Moisture)-0.005 {
			nearer = append(nearer, fmt.Sprintf("moisture from %s to %s %%", one(100*was.Moisture), one(100*is.Moisture)))
		}
	}
	if len(nearer) > 0 {
		gains = append(gains, "brings "+strings.Join(nearer, " and "))
	}
	if known(l.VolumeM3) && l.VolumeM3 > 0.001*was.VolumeM3 {
		gains = append(gains, "makes the pile "+o.Units.volume(l.VolumeM3)+" larger")
	} else if !known(l.VolumeM3) && l.MassKg > 0 {
		gains = append(gains, "makes the pile "+o.Units.mass(l.MassKg)+" heavier")
	}
	return strings.ToUpper(l.Change[:1]) + l.Change[1:] + " " + strings.Join(gains, ", and ") + "."
}

// wholeLines wraps the sentence on whole measures for text.
func wholeLines(a *Answer, o Options) []string {
	if s := wholeSentence(a, o); s != "" {
		return wrap(s, "  ", "  ")
	}
	return nil
}

// wholeSentence says what the recipe is in whole measures, or, of a recipe in
// whole measures, what the exact one is; "" where there is nothing to say.
func wholeSentence(a *Answer, o Options) string {
	if exact := a.Recipe.Exact; exact != nil {
		return fmt.Sprintf("The exact mix, without whole measures, would have C:N %s and moisture %s %%: distance %.2f from the target, and this one %.2f.",
			one(exact.Figures.CarbonToNitrogen), one(100*exact.Figures.Moisture), exact.Distance, a.Recipe.Distance)
	}
	if a.Whole == nil || a.Whole.Portions == nil {
		return ""
	}
	var parts []string
	for _, i := range ingredients(a.Whole) {
		if i.massKg > 0 {
			parts = append(parts, i.amount()+" of "+i.name)
		}
	}
	if w := a.Whole.Mixture.AddedWaterKg; w > 0 {
		parts = append(parts, measured(a.Whole.WaterPortion.Quantity())+" of water")
	}
	flag := " (" + o.wholeName() + ")"
	if o.Page {
		flag = ""
	}
	return fmt.Sprintf("In whole measures%s: %s; C:N %s, moisture %s %%.", flag,
		strings.Join(parts, ", "), one(a.Whole.Figures.CarbonToNitrogen), one(100*a.Whole.Figures.Moisture))
}

// nothingMends says that no repair was found, and where to look next.
func nothingMends(p *blend.Problem) string {
	if len(p.MayGet) > 0 {
		return "Nothing under [may_get] would do it in the amounts given, alone or in pairs: leave [may_get] out to see what else would."
	}
	return "No one material that was tried, and no two, would do it: look at the limits of the plan first."
}
