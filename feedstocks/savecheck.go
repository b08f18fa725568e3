package feedstocks

import (
	"maps"
	"math"
	"reflect"
	"slices"
)

// differs says what else than the figures is not the same in two decoded
// texts, or whether a figure is not as it was to be; "" where all is well.
func differs(before, after map[string]any, name string, figures []Figure) string {
	table, _ := after["feedstock"].(map[string]any)
	entry, _ := table[name].(map[string]any)
	for _, f := range figures {
		d := entryDecoder{name: name}
		p, ok := d.property(f.Kind, entry[f.Kind.String()])
		if want := Saved(f); !ok || p.Low != want.Low || p.Typical != want.Typical || p.High != want.High {
			return f.Kind.Label() + " does not read back"
		}
	}
	if !sameButFor(without(before, name, figures), without(after, name, figures)) {
		return "something else would change"
	}
	return ""
}

// without is a decoded text less the figures, and less what they alone filled.
func without(root map[string]any, name string, figures []Figure) map[string]any {
	root = maps.Clone(root)
	table, _ := root["feedstock"].(map[string]any)
	entry, _ := table[name].(map[string]any)
	entry = maps.Clone(entry)
	for _, f := range figures {
		delete(entry, f.Kind.String())
	}
	table = maps.Clone(table)
	if len(entry) > 0 {
		table[name] = entry
	} else {
		delete(table, name)
	}
	if len(table) > 0 {
		root["feedstock"] = table
	} else {
		delete(root, "feedstock")
	}
	return root
}

// sameButFor compares decoded values, nan being the same as nan.
func sameButFor(a, b any) bool {
	switch a := a.(type) {
	case map[string]any:
		b, ok := b.(map[string]any)
		if !ok || len(a) != len(b) {
			return false
		}
		for k, v := range a {
			if w, there := b[k]; !there || !sameButFor(v, w) {
				return false
			}
		}
		return true
	case []any:
		b, ok := b.([]any)
		return ok && slices.EqualFunc(a, b, sameButFor)
	case []map[string]any:
		b, ok := b.([]map[string]any)
		return ok && slices.EqualFunc(a, b, func(x, y map[string]any) bool { return sameButFor(x, y) })
	case float64:
		b, ok := b.(float64)
		return ok && (a == b || math.IsNaN(a) && math.IsNaN(b))
	}
	return reflect.DeepEqual(a, b)
}
