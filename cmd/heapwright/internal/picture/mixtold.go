package picture

import (
	"fmt"
	"strings"
)

// told describes the picture in words, for those who do not see it.
func (m *Mix) told() string {
	t := m.Recipe.Problem.Target
	parts := []string{
		m.standing(),
		fmt.Sprintf("The good range is C:N %.4g to %.4g and moisture %.4g to %.4g %%, with the aim at %.4g and %.4g %%.",
			t.CarbonToNitrogen.Low, t.CarbonToNitrogen.High, 100*t.Moisture.Low, 100*t.Moisture.High, t.CarbonToNitrogen.Aim, 100*t.Moisture.Aim),
	}
	if s, ok := m.Region.At(t.Moisture.Aim); ok {
		parts = append(parts, fmt.Sprintf("At the moisture aimed at, C:N from %s to %s can be mixed, %s.",
			ratioWords(s.CarbonToNitrogen.Low), ratioWords(s.CarbonToNitrogen.High), m.water()))
	} else if len(m.Region.Slices) > 0 {
		parts = append(parts, "The moisture aimed at cannot be mixed, "+m.water()+".")
	}
	var names []string
	for _, s := range m.spots() {
		names = append(names, fmt.Sprintf("%s (%s, moisture %.0f %%)", s.name, figure(s.CarbonToNitrogen), 100*s.Moisture))
	}
	return strings.Join(append(parts, "On hand: "+strings.Join(names, ", ")+"."), " ")
}
