package station

import (
	"math"
	"slices"
	"sync"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/drift"
)

// trend is the checks of a gauge point by point, and what they say of it, computed
// when it is first asked for. It never changes. nil is without checks.
type trend struct {
	series []drift.Series // in the order in which points were first checked
	uses   []usesAt       // of each check, in the order of their times
	o      drift.Options  // by the last check that states it
	last   time.Time
	review func() *drift.Gauge
}

// usesAt are the uses of a gauge at a check: the jobs that were started with it, and
// its checks.
type usesAt struct {
	seq  uint64
	uses float64
}

// usesOf are those at each check, by its number: several checks of the past may have the
// same place in the history.
func (t *trend) usesOf() map[uint64]float64 {
	of := map[uint64]float64{}
	if t != nil {
		for _, u := range t.uses {
			of[u.seq] = u.uses
		}
	}
	return of
}

// with returns the trend after a check; uses are those of the gauge so far.
func (t *trend) with(c *CheckRecord, uses float64) *trend {
	next := &trend{}
	if t != nil {
		next.series, next.uses, next.o, next.last = slices.Clone(t.series), t.uses, t.o, t.last
	}
	next.uses = append(next.uses, usesAt{c.Seq, uses})
	if limit := c.Result.Limit; limit != nil {
		next.o.MPE = limit.Metres()
	}
	if step := c.ability.Resolution; step != nil {
		next.o.Charts.Step = step.Metres()
	}
	if r := c.ability.Repeats; r != nil {
		next.o.Deviation = r.Deviation.Metres()
	}
	if c.Time.After(next.last) { // else the clock was set back; the order stands
		next.last = c.Time
	}
	for _, p := range c.checks() {
		p.check.Time, p.check.Uses, p.check.Unused = next.last, uses, uses == 0
		if p.check.Valid(nil) != nil {
			continue // a check that says nothing: its result stands all the same
		}
		i := slices.IndexFunc(next.series, func(s drift.Series) bool { return s.Point == p.point })
		if i < 0 {
			i = len(next.series)
			next.series = append(next.series, drift.Series{Point: p.point})
		}
		// Earlier trends see no more than their own length of the array.
		next.series[i].Checks = append(next.series[i].Checks, p.check)
	}
	next.review = sync.OnceValue(func() *drift.Gauge { return next.reviewed(true) })
	return next
}

// reviewed is what the checks say; nil where they say nothing. quick is without what
// takes long to compute.
func (t *trend) reviewed(quick bool) *drift.Gauge {
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

// Trend says how the error of the gauge moves at each point, without the run lengths
// of the charts, in metres; nil without checks.
func (h *Health) Trend() *drift.Gauge {
	if h.trend == nil {
		return nil
	}
	return h.trend.review()
}

// ChartNow reports which charts point at the last check; nil before there is a baseline.
func (h *Health) ChartNow() map[string]bool {
	if g := h.Trend(); g != nil {
		return g.ChartNow()
	}
	return nil
}

// Pointing lists the charts that point at the last check, with their points and why.
func (h *Health) Pointing() []drift.PointSignal {
	if g := h.Trend(); g != nil {
		return g.Pointing()
	}
	return nil
}

// noChecks is why there is neither a rate nor an advice.
const noChecks = "there are no checks"

// Advice is how long until the next check, by the methods of ILAC-G24 / OIML D 10, in
// days and in uses; a use is a job or a check. Of all points the one whose check is
// due first decides. Zero returns end no interval. refused says why a method gives none.
func (h *Health) Advice() (advice []drift.Advice, refused []string) {
	g := h.Trend()
	if g == nil {
		return nil, []string{noChecks}
	}
	return g.Advice, g.AdviceRefused
}

// pointCheck is a check at one point.
type pointCheck struct {
	point string
	check drift.Check
}

// checks are those of each point of a check: at one master, approached from one side.
func (c *CheckRecord) checks() (all []pointCheck) {
	for _, p := range c.Result.Points {
		check := drift.Check{
			Found: p.Error.Metres(), Verdict: verdictAt(p, c.Result.Limit), Aside: c.Zero,
		}
		check.Uncertainty, check.Shared = c.Parted(p)
		if p.Repeats > 1 {
			check.Spread, check.Repeats = p.Spread, p.Repeats
		}
		if c.Left != nil {
			check.Left = leftAt(p, c.Left.Points)
			check.Adjusted = check.Left == nil
		}
		all = append(all, pointCheck{pointName(p), check})
	}
	return all
}

// pointName is the name of a point: a master, and the side from which it was
// approached where that was from above.
func pointName(p check.PointResult) string {
	if p.Falling {
		return p.Master + ", falling"
	}
	return p.Master
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

// Parted are the standard uncertainties of the error at a point, in metres: of what is
// independent from check to check, 0 where nothing is known of it, and of what all
// checks at the point share, the certificate of its master. A check that was stored
// before points had that has it from its master.
func (c *CheckRecord) Parted(p check.PointResult) (independent, shared float64) {
	shared = p.Certificate
	for _, data := range c.points {
		if m := data.Master; shared == 0 && m.ID == p.Master && m.Certified != nil && m.Certified.K > 0 {
			shared = m.Certified.Uncertainty.Metres() / (float64(m.Certified.K) / 1e9) // K counts 1e-9
		}
	}
	if p.Standard <= shared {
		return 0, shared
	}
	return math.Sqrt((p.Standard - shared) * (p.Standard + shared)), shared
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
