package exits

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gauged/internal/gauge"
)

var morning = time.Date(2026, 3, 2, 7, 0, 0, 0, time.UTC)

// at is so many hours after the morning.
func at(hours int) time.Time { return morning.Add(time.Duration(hours) * time.Hour) }

const threeDays = 72 * time.Hour

// TestGivenUp: a letter is given up when nothing was taken for the whole time and it is that
// old too; never before it was tried, and never sooner after a longer failure.
func TestGivenUp(t *testing.T) {
	why := errRefused
	failing := Progress{After: 7}.Failed(at(0), why)
	for _, c := range []struct {
		name    string
		p       Progress
		now, of time.Time
		want    bool
	}{
		{"never tried", Progress{After: 7}, at(200), at(0), false},
		{"one hour before", failing, at(71), at(0), false},
		{"just then", failing, at(72), at(0), true},
		{"a letter that came in the meantime", failing, at(72), at(1), false},
		{"that one, an hour later", failing, at(73), at(1), true},
		{"an old letter that failed first now", Progress{After: 7}.Failed(at(500), why), at(500), at(0), false},
		{"resumed in the meantime", failing.GoesOn(at(50)).Failed(at(50), why), at(100), at(0), false},
		{"and then as long as the first time", failing.GoesOn(at(50)).Failed(at(50), why), at(122), at(0), true},
		{"not reached at the last attempt", failing.Failed(at(80), awayFault{}), at(80), at(0), false},
		{"never reached", Progress{After: 7}.Failed(at(0), awayFault{}).Failed(at(200), awayFault{}), at(200), at(0), false},
		{"refused again when it is reached again", failing.Failed(at(1), awayFault{}).Failed(at(80), why), at(80), at(0), false},
		{"and as long as the first time", failing.Failed(at(1), awayFault{}).Failed(at(80), why), at(152), at(0), true},
		{"the daemon did not run", failing.Again(at(100)).Failed(at(100), why), at(100), at(0), false},
		{"and what was tried before counts", failing.Failed(at(20), why).Again(at(100)).Failed(at(100), why), at(152), at(0), true},
		{"a clock that was set back while it did not run", failing.Again(at(-100)).Failed(at(72), why), at(72), at(0), true},
		{"a clock that was set back", failing, at(-1000), at(0), false},
	} {
		if got := c.p.GivenUp(c.now, c.of, threeDays); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// TestProgress: what happens to an exit, step by step, and that it is the same when it was stored.
func TestProgress(t *testing.T) {
	why := errRefused
	p := Progress{After: 3}.Passed(4).Failed(at(1), why).Failed(at(2), why)
	want := Progress{After: 4, Failures: 2, Failing: at(1), Tried: at(2), Why: gauge.Told(why)}
	check := func(step string) {
		t.Helper()
		if diff := cmp.Diff(want, p); diff != "" {
			t.Errorf("%s: %s", step, diff)
		}
		if diff := cmp.Diff(want, progressOf(p.kept("shop"))); diff != "" {
			t.Errorf("%s, stored: %s", step, diff)
		}
	}
	check("failed twice")
	p = p.Stopped(at(3), "Ada").Stopped(at(4), "Ben")
	want.Paused, want.PausedBy = at(3), "Ada"
	check("paused twice")
	p = p.Taken(5)
	want = Progress{After: 5, Paused: at(3), PausedBy: "Ada"}
	check("taken, which was under way when it was paused")
	p = p.GoesOn(at(6))
	want = Progress{After: 5, Resumed: at(6)}
	check("resumed")
	if got := p.Within(2).After; got != 2 {
		t.Errorf("in a history that ends with number 2 it goes on after %d", got)
	}
	if got := progressOf(gauge.Exit{After: 9, State: []byte("no JSON")}); !cmp.Equal(got, Progress{After: 9}) {
		t.Errorf("what cannot be read: %+v", got)
	}
}
