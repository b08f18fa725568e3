package blend_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"heapwright/blend"
	"heapwright/feedstocks"
)

func TestSeasonFileForAPlan(t *testing.T) {
	lib, err := feedstocks.Default()
	require.NoError(t, err)
	const season = "weeks = 30\n[on_hand]\nleaves = \"1 m3\"\n[[bay]]\nname = \"north\"\n[[arrival]]\nmaterial = \"straw\"\n"
	for name, c := range map[string]struct {
		text string
		is   bool
	}{
		"a season":             {season, true},
		"a season with a pile": {season + "[pile]\nsize = \"1 m3\"\n", true},
		"a plan with one slip": {"weeks = 3\n[on_hand]\nleaves = \"1 m3\"\n", false},
		"beds alone":           {"compost = \"1 m3\"\n[[bed]]\nname = \"one\"\n", false},
	} {
		plan, err := blend.ReadPlan(strings.NewReader(c.text), "year.toml")
		require.NoError(t, err, name)
		_, err = plan.Problem(lib)
		var first *blend.PlanError
		require.ErrorAs(t, err, &first, name)
		assert.Equal(t, c.is, first.Problem == "this is a season file, not the plan of one pile", "%s: %v", name, err)
		if c.is {
			assert.Equal(t, 1, first.Line)
			assert.Contains(t, first.Hint, "heapwright season year.toml")
		}
		assert.NoError(t, plan.WrongFile(), name)
	}
}

func TestPlanForASeasonFile(t *testing.T) {
	for text, is := range map[string]bool{
		"[pile]\nsize = \"1 m3\"\n[on_hand]\nleaves = \"1 m3\"\n": true,
		"[on_hand]\nleaves = \"1 m3\"\n":                          true,
		"weeks = 3\n[on_hand]\nleaves = \"1 m3\"\n":               false,
		"title = \"none\"\n":                                      false,
	} {
		plan, err := blend.ReadPlan(strings.NewReader(text), "pile.toml")
		require.NoError(t, err)
		err = plan.WrongFile()
		assert.Equal(t, is, err != nil, text)
		if is {
			var wrong *blend.PlanError
			require.ErrorAs(t, err, &wrong)
			assert.Equal(t, 1, wrong.Line)
			assert.Contains(t, wrong.Hint, "heapwright mix pile.toml")
		}
	}
}
