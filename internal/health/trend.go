package health

import (
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/drift"
)

// Trend is the checks of a gauge point by point, and what they say of it. One that is
// shared never changes: a copy of it is added to. nil is without checks.
type Trend struct {
	series []drift.Series // in the order in which points were first checked
	uses   []usesAt       // of each check, in the order of their times
	o      drift.Options  // by the last check that states it
	last   time.Time
}

// usesAt are the uses of a gauge at a check: the jobs that were started with it, and
// its checks.
type usesAt struct {
	seq  uint64
	uses float64
}

// Uses are those at each check, by its number: several checks of the past may have the
// same place in the history.
func (t *Trend) Uses() map[uint64]float64 {
	of := map[uint64]float64{}
	if t != nil {
		for _, u := range t.uses {
			of[u.seq] = u.uses
		}
	}
	return of
}

// copy is a trend that may be added to: what it appends goes into arrays of its own.
func (t *Trend) copy() *Trend {
	if t == nil {
		return nil
	}
	next := *t
	next.series, next.uses = slices.Clone(t.series), slices.Clip(t.uses)
	for i := range next.series {
		next.series[i].Checks = slices.Clip(next.series[i].Checks)
	}
	return &next
}

// add takes a check up; uses are those of the gauge so far. It returns the trend, a new
// one for the first check.
func (t *Trend) add(c *check.Record, uses float64) *Trend {
	next := t
	if next == nil {
		next = &Trend{}
	}
	next.uses = append(next.uses, usesAt{c.Seq, uses})
	if limit := c.Result.Limit; limit != nil {
		next.o.MPE = limit.Metres()
	}
	if step := c.Ability.Resolution; step != nil {
		next.o.Charts.Step = step.Metres()
	}
	if r := c.Ability.Repeats; r != nil {
		next.o.Deviation = r.Deviation.Metres()
	}
	if c.Time.After(next.last) { // else the clock was set back; the order stands
		next.last = c.Time
	}
	for _, p := range pointChecks(c) {
		p.check.Time = next.last
		if c.Past == nil { // how often a gauge was used before its checks were made here is not known
			p.check.Uses, p.check.Unused = uses, uses == 0
		}
		if p.check.Valid(nil) != nil {
			continue // a check that says nothing: its result stands all the same
		}
		i := slices.IndexFunc(next.series, func(s drift.Series) bool { return s.Point == p.point })
		if i < 0 {
			i = len(next.series)
			next.series = append(next.series, drift.Series{Point: p.point})
		}
		next.series[i].Checks = append(next.series[i].Checks, p.check)
	}
	return next
}

// Gauge is what the checks say, in metres; nil where they say nothing. quick is without
// what takes long to compute: the run lengths of the charts.
func (t *Trend) Gauge(quick bool) *drift.Gauge {
	if t == nil {
		return nil
	}
	o := t.o
	o.Quick = quick
	g, err := drift.NewGauge(t.series, o)
	if err != nil {
		return nil // each check was valid, and in order
	}
	return g
}

// pointCheck is a check at one point.
type pointCheck struct {
	point string
	check drift.Check
}

// checks are those of each point of a check: at one master, approached from one side.
func pointChecks(c *check.Record) (all []pointCheck) {
	for _, p := range c.Result.Points {
		check := drift.Check{
			Found: p.Error.Metres(), Verdict: verdictAt(p, c.Result.Limit), Aside: c.Zero, Seq: c.Seq, Expanded: p.Expanded().Metres(),
		}
		check.Uncertainty, check.Shared = c.Parted(p)
		if p.Repeats > 1 {
			check.Spread, check.Repeats = p.Spread, p.Repeats
		}
		if c.Left != nil {
			check.Left = leftAt(p, c.Left.Points)
			check.Adjusted = check.Left == nil
		}
		all = append(all, pointCheck{p.Name(), check})
	}
	return all
}

// leftAt is the error as left at a point, in metres; nil where nobody looked.
func leftAt(p check.PointResult, points []check.PointResult) *float64 {
	for _, left := range points {
		if left.Master == p.Master && left.Falling == p.Falling {
			metres := left.Error.Metres()
			return &metres
		}
	}
	return nil
}

// verdictAt is what a check says of the gauge at a point; in one that was stored
// before points had verdicts, what it says by the rule of then.
func verdictAt(p check.PointResult, limit *gauge.Length) drift.Verdict {
	switch {
	case limit == nil:
		return ""
	case p.Verdict != "":
		return drift.Verdict(p.Verdict)
	}
	size, expanded := p.Error.Abs(), p.Expanded()
	switch {
	case size+expanded <= *limit:
		return drift.Passed
	case size-expanded > *limit:
		return drift.Failed
	}
	return drift.Undecided
}
