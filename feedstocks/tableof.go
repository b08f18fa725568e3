package feedstocks

import (
	"maps"
	"slices"
)

// TableOf gives the name of the [feedstock] table of a decoded text that a
// material goes by: that of the same name (capitals, plurals and hyphens aside),
// or else one that same takes for the same material; "" where there is none.
func TableOf(root map[string]any, name string, same func(table string) bool) string {
	tables, _ := root["feedstock"].(map[string]any)
	names := slices.Sorted(maps.Keys(tables))
	for _, is := range []func(string) bool{
		func(t string) bool { return t == name },
		func(t string) bool { return nameKey(t) == nameKey(name) },
		func(t string) bool { return also(tables[t], name) },
		same,
	} {
		if i := slices.IndexFunc(names, is); i >= 0 {
			return names[i]
		}
	}
	return ""
}

// also reports whether a feedstock table lists a name among its others.
func also(table any, name string) bool {
	t, _ := table.(map[string]any)
	list, _ := t["also"].([]any)
	return slices.ContainsFunc(list, func(v any) bool {
		s, ok := v.(string)
		return ok && nameKey(s) == nameKey(name)
	})
}
