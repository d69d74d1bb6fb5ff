package words

import (
	"slices"
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
		zone, exact, day string
		of               map[Language][]string // two moments, a day and its date
	}{
		{"Europe/Berlin", "2026-07-02T00:30:05.250+02:00", "2026-07-02", map[Language][]string{
			English: {"2 Jul 2026 00:30:05 +02:00", "1 Jan 2026 05:30:05 +01:00", "30 Apr 2026", "30 Apr 2026"},
			German:  {"2.7.2026 00:30:05 +02:00", "1.1.2026 05:30:05 +01:00", "30.4.2026", "30.4.2026"},
		}},
		{"America/New_York", "2026-07-01T18:30:05.250-04:00", "2026-07-01", map[Language][]string{
			English: {"1 Jul 2026 18:30:05 -04:00", "31 Dec 2025 23:30:05 -05:00", "30 Apr 2026", "30 Apr 2026"},
			German:  {"1.7.2026 18:30:05 -04:00", "31.12.2025 23:30:05 -05:00", "30.4.2026", "30.4.2026"},
		}},
	} {
		zone, err := time.LoadLocation(x.zone)
		if err != nil {
			t.Fatal(err)
		}
		time.Local = zone
		for _, l := range []Language{English, German} {
			w := In(l)
			got := []string{w.Moment(summer), w.Moment(winter), w.Moment(due), w.Date(due), Exact(summer), w.Day(summer), Exact(due), w.Day(due)}
			if want := append(slices.Clone(x.of[l]), x.exact, x.day, "2026-04-30", "2026-04-30"); !slices.Equal(got, want) {
				t.Errorf("%s, %s: %q, want %q", x.zone, l, got, want)
			}
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
