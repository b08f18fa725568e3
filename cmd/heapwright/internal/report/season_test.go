package report

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"heapwright/blend/season"
)

// TestAimLines: a bound that is not reached is never told as nearer than it is.
func TestAimLines(t *testing.T) {
	plan := &season.Plan{Aims: []season.Aim{
		{Name: "bought", Unit: "money", Value: 100, Bound: 98.6, Gap: 0.014},
		{Name: "batches", Unit: "batches", Value: 300, Bound: 299, Gap: 1. / 300, Proven: true},
		{Name: "spoiled", Unit: "kg", Value: 5, Bound: 5, Proven: true},
	}}
	assert.Equal(t, []string{
		"What is bought: 100.00 (not proved the least: there may be 1.4 % less, but no more).",
		"Batches: 300 (no plan has over 0.4 % less).",
		"What spoils: 5 kg (the least there is).",
	}, aimLines(plan, Options{}))
}
