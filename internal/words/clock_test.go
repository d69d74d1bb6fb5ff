package words

import (
	"testing"
	"time"
)

// The golden texts are those of a clock in Greenwich.
func init() { time.Local = time.UTC }

// TestClock: a time is shown as the clocks here show it, with its distance from UTC, in
// summer as in winter; a day stays that day, also west of Greenwich.
func TestClock(t *testing.T) {
	before := time.Local
	t.Cleanup(func() { time.Local = before })
	summer := time.Date(2026, 7, 1, 22, 30, 5, 250e6, time.UTC)
	winter := time.Date(2026, 1, 1, 4, 30, 5, 0, time.UTC)
	due := time.Date(2026, 4, 30, 0, 0, 0, 0, time.UTC)
	for _, x := range []struct {
		zone                                  string
		summer, winter, exact, day, due, date string
	}{
		{"Europe/Berlin", "2026-07-02 00:30:05 +02:00", "2026-01-01 05:30:05 +01:00", "2026-07-02T00:30:05.250+02:00", "2026-07-02", "2026-04-30", "30.4.2026"},
		{"America/New_York", "2026-07-01 18:30:05 -04:00", "2025-12-31 23:30:05 -05:00", "2026-07-01T18:30:05.250-04:00", "2026-07-01", "2026-04-30", "30.4.2026"},
	} {
		zone, err := time.LoadLocation(x.zone)
		if err != nil {
			t.Fatal(err)
		}
		time.Local = zone
		for _, l := range []Language{English, German} {
			w := In(l)
			got := []string{w.Moment(summer), w.Moment(winter), Exact(summer), w.Day(summer), w.Day(due), w.Moment(due), Exact(due)}
			for i, want := range []string{x.summer, x.winter, x.exact, x.day, x.due, x.due, x.due} {
				if got[i] != want {
					t.Errorf("%s, %s: %q, want %q", x.zone, l, got[i], want)
				}
			}
		}
		if got := In(German).Date(due); got != x.date {
			t.Errorf("%s: %q, want %q", x.zone, got, x.date)
		}
	}
}

// TestClockAlone: the time of the day stands alone only where nobody can take it for another.
func TestClockAlone(t *testing.T) {
	c, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	w := c.In(English)
	began := time.Date(2026, 3, 2, 12, 0, 1, 0, time.Local)
	for at, want := range map[time.Time]string{
		began.Add(time.Minute):    "12:01:01",
		began.AddDate(0, 0, 1):    w.Moment(began.AddDate(0, 0, 1)),
		began.AddDate(1, 0, 0):    w.Moment(began.AddDate(1, 0, 0)),
		began.Add(-1 * time.Hour): "11:00:01",
	} {
		if got := w.Clock(at, began); got != want {
			t.Errorf("%v: %q, want %q", at, got, want)
		}
	}
}
