package page

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
)

// thisWeek is how far ahead the list of what is to be done looks.
const thisWeek = 7 * 24 * time.Hour

// task is what somebody does with a gauge or a master this week, and why. Of one kind there is
// one for each gauge, however many signals say so: it tells the newest.
type task struct {
	Name  string
	Link  string        // where it is done or looked at; empty: on no page
	What  string        // of the catalogue, below gauges.do
	Why   gauge.Message // zero: see Key
	Key   string        // of the catalogue, where no message says why
	Until time.Time     // zero: now
	Since time.Time     // zero: not said; since when it should have been done
	More  int           // further signals of the kind
	Due   bool          // it is a check or a calibration whose term is over
}

// Now reports whether it is to be done before the gauge is used again.
func (t task) Now() bool { return t.Until.IsZero() }

// Due is how many checks of gauges and calibrations of masters are due.
func (g gaugesPage) Due() int { return g.count(func(t task) bool { return t.Due }) }

// Now is how much is to be done before a gauge or a master is used again.
func (g gaugesPage) Now() int { return g.count(task.Now) }

// Later is how much is to be done later this week.
func (g gaugesPage) Later() int { return len(g.Tasks) - g.Now() }

// count counts what is listed, so that no number says something else than the list.
func (g gaugesPage) count(these func(task) bool) (n int) {
	for _, t := range g.Tasks {
		if these(t) {
			n++
		}
	}
	return n
}

// before orders tasks: first what is to be done now, then by the day.
func (t task) before(o task) int { return t.Until.Compare(o.Until) }

// worst are the words of what is wrong with a gauge, the worst first.
var worst = []string{"gauges.bad.standing", "gauges.bad.failed", "gauges.bad.work", "gauges.bad.chart", overdue, ""}

// order sorts the gauges: first those with which something is to be done, by the day until
// which, and of one day by what is wrong; then by the next check; those that are no longer
// used come last.
func (g *gaugesPage) order() {
	now := g.now
	tasks := map[string][]task{}
	for _, line := range g.Gauges {
		tasks[line.ID] = line.tasks(now)
	}
	never := now.AddDate(1000, 0, 0)
	until := func(line gaugeLine) time.Time {
		switch own := tasks[line.ID]; {
		case len(own) > 0:
			return own[0].Until
		case line.Remedy() == health.RemedyNone:
			return never.AddDate(1, 0, 0)
		case line.Due.IsZero():
			return never
		default:
			return line.Due
		}
	}
	slices.SortStableFunc(g.Gauges, func(a, b gaugeLine) int {
		return cmp.Or(until(a).Compare(until(b)), slices.Index(worst, a.Bad())-slices.Index(worst, b.Bad()))
	})
	for _, line := range g.Gauges {
		g.Tasks = append(g.Tasks, tasks[line.ID]...)
	}
	for _, id := range slices.Sorted(maps.Keys(g.Masters)) {
		switch m := g.Masters[id]; {
		case m.Overdue(now):
			g.Tasks = append(g.Tasks, task{Name: cmp.Or(m.Title, id), What: "calibrate", Key: "gauges.master.over", Since: m.Due, Due: true})
		case !m.Due.IsZero() && m.Due.Before(now.Add(thisWeek)):
			g.Tasks = append(g.Tasks, task{Name: cmp.Or(m.Title, id), What: "calibrate", Key: "gauges.master.ends", Until: m.Due})
		}
	}
	slices.SortStableFunc(g.Tasks, task.before)
}

// tasks are what is to be done with the gauge this week, the first first.
func (g gaugeLine) tasks(now time.Time) (all []task) {
	add := func(t task) {
		t.Name, t.Link = g.ID, cmp.Or(t.Link, "/gauges/"+g.ID)
		all = append(all, t)
	}
	if s := g.Health.ToRecall(); s != nil {
		add(task{What: "recall", Link: "/gauges/" + g.ID + "/recall", Why: g.Health.RecallWanted(g.ID), Since: s.Time})
	}
	if g.Remedy() == health.RemedyNone {
		return all
	}
	if g.State == gauge.StateFailed {
		add(task{What: "connection", Why: g.Reason, Key: "gauges.bad.failed", Since: g.Since})
	}
	if g.Battery() {
		add(task{What: "battery", Key: "gauge.battery"})
	}
	if g.Health == nil {
		return all
	}
	switch remedy := g.Remedy(); {
	case remedy != "":
		add(task{What: gauge.Key(string(remedy)), Why: g.Health.Why, Key: "gauges.bad.standing", Since: g.Health.Since})
	case g.Overdue && g.Checking != nil:
		add(task{What: "check", Key: "check.open.short", Since: g.Checking.Time, Due: true})
	case g.Overdue:
		add(task{What: "check", Why: g.DueWhy, Since: reached(g.Due), Due: true})
	case !g.Due.IsZero() && g.Due.Before(now.Add(thisWeek)):
		add(task{What: "check", Key: "gauges.due.interval", Until: g.Due})
	}
	if g.Work != nil && g.Work.Alarm {
		add(task{What: "compare", Key: "gauges.bad.work"})
	}
	if signals := g.Health.Pointing(); len(signals) > 0 {
		add(task{What: "look", Why: signals[0].What, Since: g.Health.Last.Time, More: len(signals) - 1})
	}
	if at := g.reaches(); !at.IsZero() && at.Before(now.Add(thisWeek)) {
		add(task{What: "adjust", Key: "gauges.reaches", Until: after(now, at)})
	}
	slices.SortStableFunc(all, func(a, b task) int { return cmp.Or(a.before(b), b.Since.Compare(a.Since)) })
	return all
}

// after is a day that is to come; zero where it is past.
func after(now, at time.Time) time.Time {
	if at.After(now) {
		return at
	}
	return time.Time{}
}

// reached is when a check should have been made; zero where it was never made.
func reached(due time.Time) time.Time {
	if due.Equal(health.AtOnce) {
		return time.Time{}
	}
	return due
}

// reaches is the earliest day at which the error may come to its limit; zero: none is in sight,
// or it is there already.
func (g gaugeLine) reaches() (first time.Time) {
	trend := g.Health.Trend()
	if trend == nil {
		return first
	}
	for _, r := range trend.Points {
		if t := r.ByTime; r.LeftOut || t == nil || t.Reach == nil || !t.Reach.Significant || t.Reach.Outside {
			continue
		}
		if at := r.Date(r.ByTime.Reach.Early); first.IsZero() || at.Before(first) {
			first = at
		}
	}
	return first
}
