// Package report lays recipes and feedstocks out for people and machines. It
// computes nothing but units: every figure comes from package blend.
package report

import (
	"slices"

	"heapwright/blend"
	"heapwright/blend/chance"
)

// Format is a layout.
type Format uint8

const (
	Text Format = iota
	JSON
	CSV
	Markdown
)

// Formats lists the names of the layouts.
func Formats() []string { return []string{"text", "json", "csv", "markdown"} }

// ParseFormat reads the name of a layout.
func ParseFormat(name string) (Format, bool) {
	i := slices.Index(Formats(), name)
	return Format(max(i, 0)), i >= 0
}

// Units are the units of text and Markdown; machines get SI.
type Units uint8

const (
	Metric Units = iota
	US
)

// ParseUnits reads "metric" or "us".
func ParseUnits(name string) (Units, bool) {
	i := slices.Index([]string{"metric", "us"}, name)
	return Units(max(i, 0)), i >= 0
}

// Kind is the question that a recipe answers.
type Kind uint8

const (
	Mix   Kind = iota // the proportions were picked
	Check             // the proportions were given
)

// Options say how a recipe is laid out.
type Options struct {
	Kind    Kind
	Format  Format
	Units   Units
	Explain bool
	Why     bool // all reasons, not only the most telling
	Chance  bool // all about chance, not only the one line
	Page    bool // for the local page: no flag of the command line is named
	Title   string
}

// wholeName is what asks for whole measures.
func (o Options) wholeName() string {
	if o.Page {
		return "whole measures"
	}
	return "--whole"
}

// Answer is a recipe with what goes with it.
type Answer struct {
	Recipe  *blend.Recipe
	Reasons *blend.Reasons // nil where none were asked for
	Whole   *blend.Recipe  // the same in whole measures; nil where there is none
	Chance  *chance.Chance // nil where there is no mix
	Gains   []chance.Gain  // what to measure first; nil where it was not asked for
	Shares  []chance.Share
	Sure    *chance.Sure // nil where no surety was asked for
}
