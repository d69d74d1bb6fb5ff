package page

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/health/jobs"
	"gauged/internal/station"
)

// TestGaugesInTheOrderOfWhatIsToBeDone: first what is to be done now, then this week by the day;
// then the next checks; a gauge that is no longer used is last, and there is nothing to do with it.
func TestGaugesInTheOrderOfWhatIsToBeDone(t *testing.T) {
	now := time.Date(2026, 11, 30, 9, 0, 0, 0, time.UTC)
	in := func(days int) time.Time { return now.AddDate(0, 0, days) }
	line := func(id string, change func(*gaugeLine)) gaugeLine {
		l := gaugeLine{GaugeStatus: station.GaugeStatus{State: gauge.StateLive}, Health: health.New(nil)}
		l.ID = id
		change(&l)
		return l
	}
	page := gaugesPage{now: now, Masters: map[string]check.Master{
		"worn": {ID: "worn", Due: in(-9)}, "soon": {ID: "soon", Title: "Block of 10 mm", Due: in(2)}, "later": {ID: "later", Due: in(20)}, "ever": {ID: "ever"},
	}, Gauges: []gaugeLine{
		line("unused", func(l *gaugeLine) { l.Health.Standing, l.State = health.Retired, gauge.StateFailed }),
		line("calm", func(*gaugeLine) {}),
		line("next-month", func(l *gaugeLine) { l.Due = in(30) }),
		line("on-friday", func(l *gaugeLine) { l.Due = in(4) }),
		line("tomorrow", func(l *gaugeLine) { l.Due = in(1) }),
		line("overdue", func(l *gaugeLine) { l.Due, l.Overdue, l.DueWhy = in(-3), true, gauge.Plain("the interval is over") }),
		line("never", func(l *gaugeLine) {
			l.Due, l.Overdue, l.DueWhy = health.AtOnce, true, gauge.Plain("never checked")
		}),
		line("failed-check", func(l *gaugeLine) {
			l.Health.Standing, l.Health.Why, l.Health.Since = health.Suspect, gauge.Plain("a check failed"), in(-1)
			l.Work = &jobs.WorkError{Alarm: true}
		}),
		line("no-cable", func(l *gaugeLine) { l.State, l.Since, l.Health = gauge.StateFailed, in(-2), nil }),
	}}
	page.order()
	var order, tasks []string
	for _, g := range page.Gauges {
		order = append(order, g.ID)
	}
	for _, task := range page.Tasks {
		when := "now"
		if !task.Now() {
			when = task.Until.Format(time.DateOnly)
		}
		if !task.Since.IsZero() {
			when += " since " + task.Since.Format(time.DateOnly)
		}
		tasks = append(tasks, fmt.Sprintf("%s: %s, %s", task.Name, task.What, when))
	}
	if got, want := strings.Join(order, " "), "failed-check no-cable overdue never tomorrow on-friday next-month calm unused"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	want := []string{
		"failed-check: check, now since 2026-11-29", "failed-check: compare, now", "no-cable: connection, now since 2026-11-28", "overdue: check, now since 2026-11-27", "never: check, now", "worn: calibrate, now since 2026-11-21",
		"tomorrow: check, 2026-12-01", "Block of 10 mm: calibrate, 2026-12-02", "on-friday: check, 2026-12-04",
	}
	if now, due, later := page.Now(), page.Due(), page.Later(); now != 6 || due != 3 || later != 3 {
		t.Errorf("now %d, due %d, later %d; want 6, of which two gauges and a master are due, and 3", now, due, later)
	}
	if strings.Join(tasks, "\n") != strings.Join(want, "\n") {
		t.Errorf("%s\nwant\n%s", strings.Join(tasks, "\n"), strings.Join(want, "\n"))
	}
}
