package pile

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestOddLogs reads a folder of logs that are odd or hostile. What each should
// give was worked out by hand.
func TestOddLogs(t *testing.T) {
	tried := map[string]bool{}
	for _, c := range []struct {
		file     string
		why      string
		options  Options
		readings int // of the pile
		peakC    float64
		setAside int
		events   int
		err      string
	}{
		{"plain.csv", "the form that log add itself starts", Options{}, 4, 58, 0, 0, ""},
		{"fahrenheit_header.csv", "131 F is 55 C exactly", Options{}, 2, 55, 0, 0, ""},
		{"fahrenheit_cells.csv", "units in the cells, mixed", Options{}, 3, 55, 0, 0, ""},
		{"fahrenheit_values.csv", "three of four are over 100, which settles F", Options{}, 4, 60, 0, 0, ""},
		{"no_unit.csv", "58 may be a hot heap in C or a cold one in F", Options{}, 0, 0, 0, 0, "no_unit.csv:2: these temperatures have no unit"},
		{"no_unit_two_hot.csv", "one reading over 100 may be a slip", Options{}, 0, 0, 0, 0, "no unit"},
		{"no_unit_told.csv", "the flag", Options{Unit: "C"}, 2, 58, 0, 0, ""},
		{"unit_against_header.csv", "they cannot both be right", Options{Unit: "C"}, 0, 0, 0, 0, "is in F, and you said C"},
		{"unit_column.csv", "a unit for each row", Options{}, 2, 55, 0, 0, ""},
		{"unit_row.csv", "units in a row of their own", Options{}, 4, 58, 0, 0, ""},
		{"decimal_comma.csv", "semicolons and decimal commas", Options{}, 4, 58.25, 0, 0, ""},
		{"tabs_comma.csv", "tabs and decimal commas", Options{}, 2, 57.5, 0, 0, ""},
		{"bars.csv", "bars", Options{}, 2, 58, 0, 1, ""},
		{"quoted.csv", "quotes, commas and quotes within", Options{}, 2, 58, 0, 2, ""},
		{"note_over_lines.csv", "a line end inside quotes", Options{}, 2, 58, 0, 1, ""},
		{"open_quote.csv", "else the rest would be one note", Options{}, 0, 0, 0, 0, "open_quote.csv:2: a quote opens"},
		{"split_by_comma.csv", "58,5 is not 58 with a note 5", Options{}, 0, 0, 0, 0, "decimal comma may have split"},
		{"comma_extra_cell.csv", "more cells than columns", Options{}, 0, 0, 0, 0, "comma_extra_cell.csv:2"},
		{"bom_crlf.csv", "byte order mark and CRLF", Options{}, 2, 58, 0, 0, ""},
		{"carriage_returns.csv", "CR alone", Options{}, 2, 58, 0, 0, ""},
		{"latin1_degree.csv", "the degree sign of Latin-1", Options{}, 2, 58, 0, 0, ""},
		{"utf16.csv", "a spreadsheet export in UTF-16", Options{}, 0, 0, 0, 0, "not plain text"},
		{"binary.csv", "a spreadsheet, not CSV", Options{}, 0, 0, 0, 0, "not plain text"},
		{"empty.csv", "", Options{}, 0, 0, 0, 0, "nothing in it"},
		{"only_comments.csv", "", Options{}, 0, 0, 0, 0, "nothing in it"},
		{"header_only.csv", "", Options{}, 0, 0, 0, 0, "not one temperature"},
		{"comments.csv", "comment and empty lines before and between", Options{}, 2, 58, 0, 0, ""},
		{"logger_preamble.csv", "lines of the logger, the zone in the header, columns of no use", Options{}, 2, 41.7, 0, 0, ""},
		{"headerless.csv", "two columns, no header", Options{}, 2, 55, 0, 0, ""},
		{"headerless_days.csv", "day numbers without a header", Options{Unit: "C"}, 3, 58, 0, 0, ""},
		{"headerless_clock.csv", "date, time, temperature and a word", Options{Unit: "C"}, 3, 58, 0, 1, ""},
		{"headerless_many.csv", "which column is which?", Options{Unit: "C"}, 0, 0, 0, 0, "no row names a column for the date"},
		{"misspelt_header.csv", "", Options{}, 0, 0, 0, 0, "did you mean date"},
		{"named_months.csv", "months in letters", Options{}, 5, 58, 0, 0, ""},
		{"ambiguous.csv", "never guessed", Options{}, 0, 0, 0, 0, "ambiguous.csv:2: this date could have the day or the month first"},
		{"ambiguous_told.csv", "3 and 4 November", Options{DayFirst: true}, 2, 58, 0, 0, ""},
		{"month_first_shown.csv", "11/13 shows the order for those before it", Options{}, 3, 58, 0, 0, ""},
		{"order_mixed.csv", "13/11 and 11/14 in one file", Options{}, 0, 0, 0, 0, "order_mixed.csv:3"},
		{"order_against_flag.csv", "", Options{DayFirst: true}, 0, 0, 0, 0, "you said the day first"},
		{"same_day_month.csv", "11/11 is the same either way", Options{}, 1, 41, 0, 0, ""},
		{"no_year.csv", "", Options{}, 0, 0, 0, 0, "the year is missing"},
		{"no_such_date.csv", "", Options{}, 0, 0, 0, 0, "there is no such date"},
		{"offsets.csv", "the hour that comes twice is in order by its offsets", Options{}, 4, 44, 0, 0, ""},
		{"am_pm.csv", "midnight, morning, noon, evening", Options{}, 4, 55, 0, 0, ""},
		{"zone_letters.csv", "CST is three zones", Options{}, 0, 0, 0, 0, "no single meaning"},
		{"unix_seconds.csv", "seconds since 1970", Options{}, 2, 42, 0, 0, ""},
		{"days.csv", "day numbers, events between", Options{}, 3, 63, 0, 1, ""},
		{"day_words.csv", "day 3", Options{}, 2, 63, 0, 0, ""},
		{"days_and_dates.csv", "", Options{}, 0, 0, 0, 0, "some rows have dates"},
		{"blank_dates.csv", "the date once for both probes", Options{}, 4, 60, 0, 0, ""},
		{"row_a_probe.csv", "a row a probe, the air among them", Options{}, 2, 60, 0, 0, ""},
		{"probe_c.csv", "C is a probe here, not a unit", Options{Unit: "C"}, 3, 58, 0, 0, ""},
		{"group.csv", "one pile of two", Options{Group: "N"}, 2, 58, 0, 0, ""},
		{"group_missing.csv", "", Options{Group: "W"}, 0, 0, 0, 0, "the piles in it are N"},
		{"empty_cells.csv", "not read is not a doubt", Options{}, 2, 58, 0, 0, ""},
		{"logger_faults.csv", "faults are set aside", Options{}, 2, 43, 2, 0, ""},
		{"about.csv", "words are not readings", Options{}, 1, 57, 3, 0, ""},
		{"broken_probe.csv", "850 and -127", Options{}, 2, 43, 3, 0, ""},
		{"slip_of_the_point.csv", "595 and 6.1 between sixties", Options{}, 3, 60.5, 2, 0, ""},
		{"cooled_by_turning.csv", "a fall with a turning is no spike", Options{}, 3, 62, 0, 1, ""},
		{"spike.csv", "no heap jumps 30 degrees in ten minutes", Options{}, 2, 55.2, 1, 0, ""},
		{"stuck.csv", "34 hours at 51.3, of which the first stands", Options{}, 15, 54.7, 33, 0, ""},
		{"whole_degrees_steady.csv", "eight days at 60, read by eye, may be", Options{}, 8, 60, 0, 0, ""},
		{"out_of_order.csv", "one row out of order; the least is set aside", Options{}, 3, 58, 1, 0, ""},
		{"wrong_year.csv", "2062 is the slip, not the rows after it", Options{}, 3, 58, 1, 0, ""},
		{"newest_first.csv", "newest first is an order too", Options{}, 3, 58, 0, 0, ""},
		{"duplicates.csv", "twice the same, and two at one moment", Options{}, 2, 43, 2, 0, ""},
		{"two_spots.csv", "without times of day, two spots of one day", Options{}, 3, 60, 0, 0, ""},
		{"joined_files.csv", "overlapping downloads, the header twice", Options{}, 4, 58, 2, 0, ""},
		{"colder_than_air.csv", "a heap is not 15 degrees colder than the air", Options{}, 2, 55, 1, 0, ""},
		{"events_inline.csv", "events in words; \"not turned\" is a note", Options{}, 3, 60, 0, 5, ""},
		{"events_columns.csv", "a column for each kind", Options{}, 3, 60, 0, 3, ""},
		{"note_as_event.csv", "a note that is an event, and one that is not", Options{}, 2, 60, 0, 2, ""},
		{"target_column.csv", "a target is not a reading", Options{}, 2, 58, 0, 0, ""},
		{"all_rubbish_rows.csv", "more than half unreadable: misunderstood, not doubtful", Options{}, 0, 0, 0, 0, "soon"},
		{"one_bad_row.csv", "one bad row is set aside", Options{}, 2, 60, 1, 0, ""},
		{"no_temperature_column.csv", "a file of events alone", Options{}, 0, 0, 0, 0, "no row names"},
		{"long_line.csv", "", Options{}, 0, 0, 0, 0, "over 64 KB"},
		{"prose.csv", "", Options{}, 0, 0, 0, 0, "no row names"},
		{"minus_sign.csv", "a true minus sign", Options{}, 2, 3, 0, 0, ""},
		{"hours.csv", "hours since the start", Options{}, 3, 58, 0, 0, ""},
		{"trailing_commas.csv", "empty columns of a spreadsheet", Options{}, 2, 58, 0, 0, ""},
		{"formula_words.csv", "what spreadsheets leave behind", Options{}, 2, 58, 1, 1, ""},
	} {
		t.Run(c.file, func(t *testing.T) {
			tried[c.file] = true
			f, err := os.Open(filepath.Join("testdata/odd", c.file))
			require.NoError(t, err)
			defer f.Close()
			l, err := Read(f, c.file, c.options)
			if c.err != "" {
				require.ErrorContains(t, err, c.err, c.why)
				assert.ErrorContains(t, err, c.file, "it names the file")
				return
			}
			require.NoError(t, err, c.why)
			assert.Equal(t, c.readings, l.Used, "%s\n%v\n%v", c.why, l.Readings, l.Doubts)
			assert.Len(t, l.Readings, c.readings)
			peak := math.Inf(-1)
			for _, r := range l.Readings {
				peak = max(peak, r.Celsius)
			}
			assert.InDelta(t, c.peakC, peak, 1e-9, c.why)
			assert.Equal(t, c.setAside, l.SetAside, "%s\n%v", c.why, l.Doubts)
			assert.Len(t, l.Events, c.events, "%s\n%v", c.why, l.Events)
		})
	}
	files, err := filepath.Glob("testdata/odd/*")
	require.NoError(t, err)
	assert.Len(t, files, len(tried), "every file of the folder is in the table")
}
