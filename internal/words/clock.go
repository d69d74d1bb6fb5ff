package words

import "time"

// here is a time as the clocks here show it. A day without a time, as files state it, is
// kept as its midnight in UTC: it stays that day wherever it is read, and day says so.
func here(t time.Time) (at time.Time, day bool) {
	if t.Equal(t.Truncate(24 * time.Hour)) {
		return t.UTC(), true
	}
	return t.Local(), false
}

// Day writes the day of a time after ISO 8601, for what is sorted: columns, axes and files.
func (w Words) Day(t time.Time) string {
	at, _ := here(t)
	return at.Format(time.DateOnly)
}

// Date writes the day of a time as people of the language write it by hand, for what is
// looked at and not sorted: the catalogue has the layout, of package time.
func (w Words) Date(t time.Time) string {
	layout, err := w.Say("day.layout")
	if err != nil {
		return w.Day(t) // a catalogue without the layout
	}
	at, _ := here(t)
	return at.Format(layout)
}

// Moment writes a time of the day with its Date and its distance from UTC, without which
// nobody elsewhere, or after the clocks were changed, knows when it was.
func (w Words) Moment(t time.Time) string {
	at, day := here(t)
	if day {
		return w.Date(t)
	}
	return w.Date(t) + at.Format(" 15:04:05 -07:00")
}

// Clock writes a time among others of the same work, which began at a time that stands there
// with its day: the time of the day alone, where day and distance from UTC are those of the beginning.
func (w Words) Clock(t, began time.Time) string {
	at, day := here(t)
	began = began.Local()
	if day || at.Format("2006-01-02 -07:00") != began.Format("2006-01-02 -07:00") {
		return w.Moment(t)
	}
	return at.Format(time.TimeOnly)
}

// Exact writes a time to the millisecond and in one piece (RFC 3339), for
// the columns of a terminal.
func Exact(t time.Time) string {
	at, day := here(t)
	if day {
		return at.Format(time.DateOnly)
	}
	return at.Format("2006-01-02T15:04:05.000-07:00")
}
