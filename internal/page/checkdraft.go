package page

import (
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

// checkDraft is a check that is being made: readings are stored already, and which
// of them it takes is kept here until it is recorded. A restart of the daemon
// loses that, not the readings.
type checkDraft struct {
	Once        string // id under which it is recorded
	Gauge       string
	By          string
	Occasion    string
	Temperature string // degrees Celsius, as typed; empty: not measured
	Tolerance   string
	Found       []draftPoint
	Left        []draftPoint // after an adjustment; empty: it was not adjusted
	begun       uint64       // number of its begin in the history
	after       uint64       // number of the last reading that was looked at
}

// draftPoint is readings wanted at one master.
type draftPoint struct {
	Master   string
	Falling  bool
	Wanted   int
	Readings []gauge.Fact
}

// Missing is how many readings are still wanted.
func (p draftPoint) Missing() int { return max(p.Wanted-len(p.Readings), 0) }

// phase is what is being measured now: as left, once that has begun.
func (d *checkDraft) phase() []draftPoint {
	if len(d.Left) > 0 {
		return d.Left
	}
	return d.Found
}

// Now is the point that takes the next reading; nil when all have theirs.
func (d *checkDraft) Now() *draftPoint {
	points := d.phase()
	for i := range points {
		if points[i].Missing() > 0 {
			return &points[i]
		}
	}
	return nil
}

// copy is what nobody else changes.
func (d *checkDraft) copy() *checkDraft {
	c := *d
	c.Found, c.Left = slices.Clone(d.Found), slices.Clone(d.Left)
	for _, points := range [][]draftPoint{c.Found, c.Left} {
		for i := range points {
			points[i].Readings = slices.Clone(points[i].Readings)
		}
	}
	return &c
}

// Done reports whether every point has its readings.
func (d *checkDraft) Done() bool { return d.Now() == nil }

// Adjusted reports whether the gauge was adjusted and is checked again.
func (d *checkDraft) Adjusted() bool { return len(d.Left) > 0 }

// take puts a reading into the point that wants one.
func (d *checkDraft) take(f gauge.Fact) error {
	p := d.Now()
	switch {
	case p == nil:
		return gauge.Refused("refusal.page.check-full")
	case f.Seq == 0: // typed in: two may be equal
		p.Readings = append(p.Readings, f)
		return nil
	case f.Seq <= d.after:
		return gauge.Refused("refusal.page.nothing-new", gauge.Text("gauge", d.Gauge))
	}
	p.Readings = append(p.Readings, f)
	d.after = f.Seq
	return nil
}

// drop takes the last reading out again.
func (d *checkDraft) drop() error {
	points := d.phase()
	for i := len(points) - 1; i >= 0; i-- {
		if n := len(points[i].Readings); n > 0 {
			points[i].Readings = points[i].Readings[:n-1]
			return nil
		}
	}
	return gauge.Refused("refusal.page.none-taken")
}

// adjusted begins the points anew, as left.
func (d *checkDraft) adjusted() error {
	if !d.Done() || d.Adjusted() {
		return gauge.Refused("refusal.page.adjusted-once")
	}
	for _, p := range d.Found {
		p.Readings = nil
		d.Left = append(d.Left, p)
	}
	return nil
}

// planned are the points that a gauge's plan wants.
func planned(p *check.Plan) (points []draftPoint) {
	if p == nil {
		return nil
	}
	for _, falling := range []bool{false, true} {
		if falling && !p.BothWays {
			continue
		}
		for _, id := range p.Masters {
			points = append(points, draftPoint{Master: id, Falling: falling, Wanted: max(p.Repeats, 1)})
		}
	}
	return points
}

// freshCheck is how old the reading of a gauge that sends all the time may be to
// be taken into a check.
const freshCheck = 3 * time.Second
