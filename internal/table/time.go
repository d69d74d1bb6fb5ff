package table

import "time"

// Time reads a time as tables have it: a day, a day with the time of day, or RFC 3339;
// the first two are in UTC, as is what it returns. Forms that are read otherwise in
// another country, such as 03/04/2026, are refused.
func Time(text string) (time.Time, error) {
	for _, form := range []string{time.DateOnly, "2006-01-02 15:04", time.DateTime, time.RFC3339} {
		if t, err := time.Parse(form, text); err == nil && t.Year() >= 1900 && t.Year() < 2200 {
			return t.UTC(), nil
		}
	}
	return time.Time{}, wrong("file.time", Quoted(text))
}
