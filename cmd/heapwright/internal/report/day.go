package report

import "time"

// day writes a date as people say it.
func day(t time.Time) string { return t.Format("2 January 2006") }
