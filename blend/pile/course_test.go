package pile

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPhases(t *testing.T) {
	for _, c := range []struct {
		name, days string
		want       []PhaseKind
		lengths    []int
	}{
		{"all four", "20 35 50 60 60 52 48 44 40 30", []PhaseKind{Heating, Hot, Cooling, Curing}, []int{2, 3, 2, 3}},
		{"still heating", "20 30 35", []PhaseKind{Heating}, []int{3}},
		{"hot to the end", "20 50 60 58", []PhaseKind{Heating, Hot}, []int{1, 3}},
		{"a dip after a turning is no phase of its own", "30 60 60t 45 60 60", []PhaseKind{Heating, Hot}, []int{1, 5}},
		{"never at 55: hot to its peak", "30 42 48 46 44", []PhaseKind{Heating, Hot, Cooling, Curing}, []int{1, 2, 1, 1}},
		{"days without a reading belong to the phase before", "30 60 - - 50 - 40", []PhaseKind{Heating, Hot, Cooling, Curing}, []int{1, 3, 2, 1}},
	} {
		t.Run(c.name, func(t *testing.T) {
			course := Follow(written("C", c.days))
			assert.Equal(t, c.want, kinds(course))
			var lengths []int
			for _, p := range course.Phases {
				lengths = append(lengths, p.Length())
			}
			assert.Equal(t, c.lengths, lengths)
		})
	}
	assert.Nil(t, Follow(written("C", "")))
	assert.Nil(t, Follow(&Log{}))
}

func TestTurningAnswers(t *testing.T) {
	for _, c := range []struct {
		name, days        string
		back, open, faded bool
		in                int
	}{
		{"back in two days", "60 60t 48 61", true, false, false, 2},
		{"not back", "60 60t 48 45 42 40", false, false, true, 0},
		{"too early to say", "60 60t 48", false, true, false, 0},
		{"nothing read since", "60 60t", false, true, false, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := Follow(written("C", c.days)).Turnings[0]
			assert.Equal(t, c.back, a.Back)
			assert.Equal(t, c.open, a.Open)
			assert.Equal(t, c.faded, a.Faded())
			assert.Equal(t, c.in, a.BackIn)
		})
	}
	assert.False(t, Follow(written("C", "60 60t 48 61 60t 50 58 60")).Fading)
	assert.True(t, Follow(written("C", "60 60t 48 54 54t 44 46 46 45")).Fading)
}

func TestHeatAndSpread(t *testing.T) {
	// Two days at 50 and one from 50 to 40: 10 C for 48 h, then 5 C on average.
	c := Follow(written("C", "50 50 50 40"))
	assert.InDelta(t, 48*10+24*5, c.DegreeHours, 1e-9)
	assert.Equal(t, 72.0, c.Covered.Hours())
	c = Follow(written("C", "60/48 62/61 -"))
	assert.Equal(t, 2, c.Spread.Probes)
	assert.InDelta(t, 12, c.Spread.Most, 1e-9)
	assert.InDelta(t, 1, c.Spread.Last, 1e-9)
	assert.Equal(t, []int{1, 1, 0, 0}, lows(c))
	assert.Equal(t, []int{2, 2, 0, 0}, highs(c))
	gap := Follow(written("C", "50 - - - - 50"))
	assert.Zero(t, gap.DegreeHours, "a gap of five days is left out")
}

func lows(c *Course) (out []int) {
	for _, a := range c.Above {
		out = append(out, a.Lowest)
	}
	return out
}

func highs(c *Course) (out []int) {
	for _, a := range c.Above {
		out = append(out, a.Highest)
	}
	return out
}

func TestAir(t *testing.T) {
	c := Follow(written("C", "60@20 58@20 50@18 44@15 40@11 38@8"))
	over, ok := c.Over()
	require.True(t, ok)
	assert.Equal(t, 30.0, over)
	require.Len(t, c.Air, 1)
	assert.Equal(t, -12.0, c.Air[0].Air)
	steady := Follow(written("C", "60@20 58@21 50@20 44@19 40@20 38@20"))
	assert.Empty(t, steady.Air, "the air stood still: the fall is the pile's own")
	against := Follow(written("C", "60@5 58@6 50@8 44@11 40@14 38@18"))
	assert.Empty(t, against.Air, "the pile fell while the air grew warm")
}
