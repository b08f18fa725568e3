package report

import (
	"fmt"
	"io"
	"strings"
)

// writeMarkdown lays a recipe out to paste into notes or a web page.
func writeMarkdown(w io.Writer, a *Answer, o Options) error {
	r := a.Recipe
	var b strings.Builder
	title := o.Title
	if title == "" {
		title = "Compost recipe"
	}
	fmt.Fprintf(&b, "# %s\n\n%s\n", escape(title), verdict(a, o))
	bullets := func(heading string, items []string) {
		if len(items) > 0 {
			fmt.Fprintf(&b, "\n## %s\n\n", heading)
			for _, item := range items {
				fmt.Fprintf(&b, "- %s\n", escape(item))
			}
		}
	}
	why := reasonsOf(a, o)
	bullets("Why", why.cause)
	bullets("What would mend it", why.mend)
	if r.Conflict {
		_, err := io.WriteString(w, b.String())
		return err
	}
	f, t := r.Figures, r.Problem.Target
	b.WriteString("\n| | is | aim | good from |\n|---|---:|---:|---:|\n")
	fmt.Fprintf(&b, "| C:N | %s | %s | %s to %s |\n", one(f.CarbonToNitrogen), short(t.CarbonToNitrogen.Aim), short(t.CarbonToNitrogen.Low), short(t.CarbonToNitrogen.High))
	fmt.Fprintf(&b, "| moisture, %% | %s | %s | %s to %s |\n", one(100*f.Moisture), short(100*t.Moisture.Aim), short(100*t.Moisture.Low), short(100*t.Moisture.High))
	b.WriteString("\n| material | amount | weight | of volume |\n|---|---:|---:|---:|\n")
	for _, i := range ingredients(r) {
		if i.massKg < grain {
			continue
		}
		share := "?"
		if known(i.share) {
			share = percent(i.share)
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s |\n", escape(i.name), i.amount(), o.Units.mass(i.massKg), share)
	}
	if water := r.Mixture.AddedWaterKg; water >= grain {
		fmt.Fprintf(&b, "| water | %s | %s | |\n", o.Units.water(water), o.Units.mass(water))
	}
	b.WriteString("\n")
	for _, fact := range pileFacts(r, o) {
		fmt.Fprintf(&b, "- %s: %s\n", fact[0], escape(fact[1]))
	}
	if o.Explain {
		b.WriteString("\n```\n" + strings.Join(explainLines(r), "\n") + "\n```\n")
	}
	if lines := chanceLines(a, o); len(lines) > 0 {
		b.WriteString("\n## How sure it is\n\n```\n" + strings.Join(lines, "\n") + "\n```\n")
	}
	bullets("What limits it", why.limits)
	bullets("Mind", minded(r))
	bullets("Notes", notesOf(r))
	_, err := io.WriteString(w, b.String())
	return err
}

// escape keeps a name or title from being read as Markdown.
func escape(s string) string {
	return strings.NewReplacer(`\`, `\\`, "|", `\|`, "*", `\*`, "_", `\_`, "`", "\\`", "<", "&lt;", "[", `\[`, "#", `\#`).Replace(s)
}
