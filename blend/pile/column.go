package pile

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// role is what a column holds.
type role uint8

const (
	unknownRole role = iota
	dateRole         // a date, or date and time
	clockRole        // a time of day
	elapsedRole      // a number of days, hours ... since the start
	temperatureRole
	probeRole     // names the probe of the row
	groupRole     // names the pile of the row
	replicateRole // names which of several like piles it is
	unitRole      // C or F, for the row
	eventRole     // what was done, in words
	noteRole
	turnedRole // yes or no
	wateredRole
	addedRole
	rainRole
)

// isAction reports whether the column says that something was done.
func (r role) isAction() bool { return r >= eventRole && r != noteRole }

// column is one column of a log.
type column struct {
	role    role
	header  string
	probe   string // of a temperature
	ambient bool   // the temperature is of the air
	unit    byte   // of a temperature: 'C', 'F', or 0
	stepMs  int64  // of elapsedRole: how long 1 is
	zone    int    // of a time: minutes east of Greenwich
	hasZone bool   // the header gives the zone
	amount  string // unit of a bare number of wateredRole, or ""
}

// readColumn understands a header cell.
func readColumn(text string) column {
	c := column{header: shorten(text)}
	if !utf8.ValidString(text) {
		// Loggers write the degree sign of Latin-1.
		text = strings.ToValidUTF8(strings.ReplaceAll(text, "\xb0", "°"), "")
	}
	text = strings.ReplaceAll(strings.TrimSpace(text), "º", "°")
	const most = 80
	if len(text) > most || text == "" {
		return c
	}
	text = c.takeZone(text)
	words := strings.FieldsFunc(text, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '°' && r != '℃' && r != '℉'
	})
	words = c.takeUnit(words, strings.ContainsAny(text, "([{"))
	lower := make([]string, len(words))
	for i, w := range words {
		lower[i] = strings.ToLower(w)
	}
	phrase := strings.Join(lower, " ")
	if c.unit == 0 && c.byPhrase(phrase) {
		return c
	}
	c.asTemperature(words, lower)
	return c
}

// takeZone takes "GMT+01:00" and the like out of the header of a time.
func (c *column) takeZone(text string) string {
	lower := strings.ToLower(text)
	at := max(strings.Index(lower, "gmt"), strings.Index(lower, "utc"))
	if at < 0 || len(lower) != len(text) {
		return text
	}
	end := at + 3
	for end < len(text) && (isDigit(text[end]) || strings.IndexByte("+-:", text[end]) >= 0) {
		end++
	}
	var m moment
	if m.parseZone([]byte(text[at:end])) != "" {
		return text
	}
	c.zone, c.hasZone = m.zone, true
	return text[:at] + text[end:]
}

// takeUnit takes the unit of temperature out of the words of a header.
func (c *column) takeUnit(words []string, bracketed bool) []string {
	var rest []string
	for i := 0; i < len(words); i++ {
		w := strings.ToLower(words[i])
		switch w {
		case "deg", "degree", "degrees", "°":
			if i+1 < len(words) {
				if u, ok := unitOf(words[i+1]); ok && u != 0 {
					c.unit = u
					i++
				}
			}
			continue
		case "c", "f":
			// "temp c" is a unit, "probe c" a name.
			if i == 0 && len(words) > 1 || i > 0 && isProbeWord(strings.ToLower(words[i-1])) && !bracketed {
				break
			}
			c.unit = w[0] &^ 0x20
			continue
		default:
			if u, ok := unitOf(words[i]); ok && u != 0 {
				c.unit = u
				continue
			}
		}
		rest = append(rest, words[i])
	}
	return rest
}

// isProbeWord tells the words for the thing that measures.
func isProbeWord(w string) bool {
	switch w {
	case "probe", "sensor", "thermocouple", "thermometer", "tc", "channel", "ch", "position", "point", "spot", "location":
		return true
	}
	return false
}

// byPhrase knows the headers that are no temperatures.
func (c *column) byPhrase(phrase string) bool {
	switch phrase {
	case "date", "dates", "dated", "on", "date of reading", "reading date", "sample date", "sampling date", "date read",
		"datetime", "date time", "date and time", "timestamp", "time stamp", "when", "recorded", "recorded at", "logged",
		"logged at", "local time", "reading time", "measured at", "date hour", "time and date", "date time local", "time utc",
		"datum", "fecha", "datum uhrzeit", "datum zeit", "fecha hora", "fecha y hora", "date heure":
		c.role = dateRole
	case "day", "days", "day no", "day number", "day nr", "age", "age days", "age in days", "days since start", "elapsed days", "days elapsed",
		"composting day", "day of composting", "time days", "time d", "time day", "age d", "pile age", "days after start":
		c.role, c.stepMs = elapsedRole, msPerDay
	case "hours", "elapsed hours", "hours elapsed", "time h", "time hours", "time hrs", "time hr", "age h", "age hours", "hrs", "elapsed h", "elapsed time h", "hours since start":
		c.role, c.stepMs = elapsedRole, msPerHour
	case "minutes", "time min", "time minutes", "elapsed minutes", "minutes elapsed":
		c.role, c.stepMs = elapsedRole, msPerMinute
	case "week", "weeks", "time weeks", "age weeks":
		c.role, c.stepMs = elapsedRole, 7*msPerDay
	case "time", "clock", "clock time", "time of day", "hour", "hh mm", "at", "o clock", "uhrzeit", "zeit", "hora", "heure":
		c.role = clockRole
	case "probe", "probes", "sensor", "probe id", "sensor id", "probe name", "sensor name", "probe no", "sensor no", "position", "location",
		"place", "spot", "point", "measuring point", "channel", "thermometer", "thermocouple", "depth", "depth cm", "depth in", "where":
		c.role = probeRole
	case "group", "pile", "heap", "bay", "bin", "windrow", "batch", "treatment", "series", "pile id", "pile name", "heap id", "vessel", "reactor", "row":
		c.role = groupRole
	case "replicate", "rep", "replication", "repeat", "plot", "block":
		c.role = replicateRole
	case "unit", "units", "temperature unit", "temp unit", "scale":
		c.role = unitRole
	case "event", "events", "action", "actions", "activity", "activities", "operation", "operations", "task", "work", "work done", "what",
		"what was done", "done", "management", "job", "intervention":
		c.role = eventRole
	case "note", "notes", "comment", "comments", "remark", "remarks", "observation", "observations", "memo":
		c.role = noteRole
	case "turned", "turn", "turning", "turnings", "turns", "mixed", "turned y n", "turned yes no":
		c.role = turnedRole
	case "water", "watered", "watering", "water added", "added water", "irrigation":
		c.role = wateredRole
	case "litres", "liters", "water l", "water litres", "water liters", "water added l", "water added litres", "water added liters", "watered l", "watered litres", "watered liters":
		c.role, c.amount = wateredRole, "L"
	case "water us gal", "water added us gal", "watered us gal":
		c.role, c.amount = wateredRole, "US gal"
	case "added", "additions", "addition", "material added", "fed":
		c.role = addedRole
	case "rain", "rained", "rainfall", "rain mm", "rainfall mm", "precipitation", "precipitation mm", "rain in":
		c.role = rainRole
	default:
		return false
	}
	return true
}

// asTemperature makes the column a temperature when its words say so.
func (c *column) asTemperature(words, lower []string) {
	named := c.unit != 0
	var name []string
	places := 0
	for i, w := range lower {
		switch {
		case isOfNoPile(w):
			c.unit = 0
			return
		case isTemperatureWord(w):
			named = true
			continue
		case isAmbientWord(w):
			c.ambient = true
			places++
		case isPlaceWord(w):
			places++
		}
		name = append(name, words[i])
	}
	if !named && (places == 0 || places < len(name)) {
		return
	}
	c.role = temperatureRole
	c.probe = strings.Join(name, " ")
}

func isTemperatureWord(w string) bool {
	switch w {
	case "temp", "temps", "temperature", "temperatures", "tmp", "reading", "readings", "value", "measurement", "t",
		"temperatur", "temperaturen", "temperatura", "température":
		return true
	}
	return false
}

func isAmbientWord(w string) bool {
	switch w {
	case "ambient", "amb", "air", "outside", "outdoor", "outdoors", "weather", "shade", "tair", "tamb",
		"luft", "aussen", "außen", "umgebung", "ambiente", "aire":
		return true
	}
	return false
}

// isPlaceWord knows where in a pile people measure, and what they number.
func isPlaceWord(w string) bool {
	if isProbeWord(w) {
		return true
	}
	switch w {
	case "core", "centre", "center", "central", "middle", "mid", "heart", "edge", "edges", "side", "top", "bottom", "base", "surface",
		"outer", "inner", "left", "right", "front", "back", "rear", "north", "south", "east", "west", "upper", "lower", "deep", "shallow",
		"shoulder", "toe", "crown", "end", "min", "max", "lowest", "highest", "mean", "average", "cm", "in", "inch", "m", "ft", "depth",
		"am", "pm", "morning", "noon", "evening", "kern", "rand", "mitte", "centro", "borde",
		"a", "b", "c", "d", "e", "f", "n", "s", "w":
		return true
	}
	digits := strings.IndexFunc(w, unicode.IsDigit)
	if digits < 0 {
		return false
	}
	head := w[:digits]
	tail := strings.TrimLeft(w[digits:], "0123456789")
	const most = 4 // digits; a year is no probe
	if len(w)-len(head)-len(tail) >= most {
		return false
	}
	heads := []string{"", "t", "p", "s", "tc", "ch", "probe", "sensor", "temp", "temperature", "thermometer", "thermocouple", "position", "point", "pt"}
	return slices.Contains(heads, head) && slices.Contains([]string{"", "cm", "in", "ft", "m", "a", "b"}, tail)
}

// isOfNoPile knows the words in headers of temperatures that are neither of
// the pile nor of the air, and of other measurements.
func isOfNoPile(w string) bool {
	switch w {
	case "target", "setpoint", "set", "limit", "threshold", "goal", "battery", "logger", "board", "cpu", "dew", "bulb", "index",
		"humidity", "rh", "moisture", "voltage", "ph", "oxygen", "o2", "co2", "weight", "mass", "volume", "height", "serial", "exact", "soil":
		return true
	}
	return false
}

// distinctProbes gives each temperature column a name of its own.
func distinctProbes(columns []column) {
	seen := map[string]int{}
	for i := range columns {
		c := &columns[i]
		if c.role != temperatureRole {
			continue
		}
		key := strings.ToLower(c.probe)
		if c.ambient {
			key = "\x00" + key
		}
		if seen[key]++; seen[key] > 1 {
			c.probe = strings.TrimSpace(c.probe + " " + strconv.Itoa(seen[key]))
		}
	}
}
