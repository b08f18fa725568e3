package report

import (
	"encoding/csv"
	"encoding/json"
	"io"
	"strconv"
	"strings"

	"heapwright/blend/pile"
)

// ruleJSON is a row of heapwright.rules/1.
type ruleJSON struct {
	Key      string   `json:"key"`
	Name     string   `json:"name"`
	Asks     string   `json:"asks"`
	Keeping  string   `json:"keeping"`
	Binds    string   `json:"binds"`
	Source   string   `json:"source"`
	Standing string   `json:"standing"`
	Needs    []string `json:"also_asked"`
	Remark   string   `json:"remark,omitempty"`
	Usual    bool     `json:"usual"`
}

// Rules lists the rules that a log can be held against.
func Rules(w io.Writer, rules []pile.Rule, format Format) error {
	l := &pile.Log{Unit: "C"}
	switch format {
	case JSON:
		out := struct {
			Schema string     `json:"schema"`
			Rules  []ruleJSON `json:"rules"`
		}{"heapwright.rules/1", nil}
		for _, r := range rules {
			out.Rules = append(out.Rules, ruleJSON{r.Key, r.Name, askedWords(l, r), r.Keeping.String(), r.Binds, r.Source, r.Standing.String(), (&LogAnswer{}).needs(r), r.Remark, r.Usual})
		}
		e := json.NewEncoder(w)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		return e.Encode(out)
	case CSV:
		out := csv.NewWriter(w)
		if err := out.Write([]string{"key", "name", "asks", "keeping", "binds", "source", "standing", "usual"}); err != nil {
			return err
		}
		for _, r := range rules {
			if err := out.Write([]string{r.Key, r.Name, askedWords(l, r), r.Keeping.String(), r.Binds, r.Source, r.Standing.String(), strconv.FormatBool(r.Usual)}); err != nil {
				return err
			}
		}
		out.Flush()
		return out.Error()
	}
	var lines []string
	for _, r := range rules {
		bullet, rest := "", "      "
		if format == Markdown {
			bullet, rest = "- ", "  "
		}
		usual := ""
		if r.Usual {
			usual = " *"
		}
		lines = append(lines, wrap(r.Key+usual+": "+upper(r.Name)+".", bullet, rest)...)
		lines = append(lines, wrap("Asks "+askedWords(l, r)+".", rest, rest)...)
		lines = append(lines, wrap("Binds "+r.Binds+". Source: "+r.Source+"; "+r.Standing.String()+".", rest, rest)...)
	}
	lines = append(lines, "")
	lines = append(lines, wrap("* judged when no --rule is given. A family is asked for by the beginning of its keys, as in --rule us-organic. \"Seen\" means that the text or an official copy was read, \"partly seen\" a page that repeats it, \"from memory\" that the figures were recalled and not checked. None of these binds a home gardener; where one binds you, its own text decides.", "", "")...)
	_, err := io.WriteString(w, strings.Join(lines, "\n")+"\n")
	return err
}
