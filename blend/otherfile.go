package blend

import (
	"fmt"
	"slices"

	"heapwright/feedstocks"
)

// seasonKeys are keys that a season file has at its top and a plan has not; one
// of the first three tells the file from a plan with a word mistyped.
func seasonKeys() []string {
	return []string{
		"weeks", "bay", "arrival",
		"start", "frost", "target_from", "batch", "compost", "may_buy", "bed", "cover", "cover_crop", "dressing", "done",
	}
}

// planKeys are keys that a plan has at its top and a season file has not.
func planKeys() []string { return []string{"pile", "may_get"} }

func (p *Plan) has(key string) bool {
	_, ok := p.root[key]
	return ok
}

// isSeason reports whether the file is that of a season; key is one that tells.
// Where it has keys of a plan too, which flags may have put there, it takes more.
func (p *Plan) isSeason() (key string, is bool) {
	keys := slices.DeleteFunc(seasonKeys(), func(k string) bool { return !p.has(k) })
	enough := 2
	if slices.ContainsFunc(planKeys(), p.has) {
		enough = 3
	}
	if len(keys) < enough || !slices.Contains(seasonKeys()[:3], keys[0]) {
		return "", false
	}
	return keys[0], true
}

// isPile reports whether the file is the plan of one pile and not that of a
// season; key is one that tells.
func (p *Plan) isPile() (key string, is bool) {
	if slices.ContainsFunc(seasonKeys(), p.has) {
		return "", false
	}
	for _, key := range append(planKeys(), "on_hand") {
		if p.has(key) {
			return key, true
		}
	}
	return "", false
}

// named is the name of the file for a command to type.
func (p *Plan) named(otherwise string) string {
	if p.file == "" || p.file == "standard input" {
		return otherwise
	}
	return p.file
}

// WrongFile is the fault of a file that is the plan of one pile, where a season
// file is asked for: a *[PlanError], or nil.
func (p *Plan) WrongFile() error {
	key, is := p.isPile()
	if !is {
		return nil
	}
	r := &reading{plan: p, lines: feedstocks.LinesOf(p.text)}
	r.fault([]string{key}, fmt.Sprintf(`for a pile: heapwright mix %s; "heapwright help season-file" shows a season file`, p.named("PLAN.toml")),
		"this is the plan of one pile, not a season file")
	return r.faults[0]
}

// notSeason is the fault of a season file where a plan is asked for, or nil.
func (p *Plan) notSeason() error {
	key, is := p.isSeason()
	if !is {
		return nil
	}
	r := &reading{plan: p, lines: feedstocks.LinesOf(p.text)}
	r.fault([]string{key}, fmt.Sprintf(`for a season: heapwright season %s; "heapwright help plan" shows the plan of a pile`, p.named("SEASON.toml")),
		"this is a season file, not the plan of one pile")
	return r.faults[0]
}
