package running

import (
	"cmp"
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/station"
)

// Check is a check that is being made: its readings and its steps are stored already, and it
// is kept here until it is recorded. After a restart of the daemon it is made again of them.
type Check struct {
	Once        string // id under which it is recorded
	Gauge       string
	By          string
	Occasion    string
	Temperature string // degrees Celsius, as typed; empty: not measured
	Tolerance   string
	Found       []Point
	Left        []Point // after an adjustment; empty: it was not adjusted
	Begun       uint64  // number of its begin in the history
	After       uint64  // number of the last reading that was looked at
}

// Point is readings wanted at one master.
type Point struct {
	Master   string
	Falling  bool
	Wanted   int
	Readings []gauge.Fact
}

// Missing is how many readings are still wanted.
func (p Point) Missing() int { return max(p.Wanted-len(p.Readings), 0) }

// phase is what is being measured now: as left, once that has begun.
func (d *Check) phase() []Point {
	if len(d.Left) > 0 {
		return d.Left
	}
	return d.Found
}

// Now is the point that takes the next reading; nil when all have theirs.
func (d *Check) Now() *Point {
	points := d.phase()
	for i := range points {
		if points[i].Missing() > 0 {
			return &points[i]
		}
	}
	return nil
}

// Copy is what nobody else changes.
func (d *Check) Copy() *Check {
	c := *d
	c.Found, c.Left = slices.Clone(d.Found), slices.Clone(d.Left)
	for _, points := range [][]Point{c.Found, c.Left} {
		for i := range points {
			points[i].Readings = slices.Clone(points[i].Readings)
		}
	}
	return &c
}

// Done reports whether every point has its readings.
func (d *Check) Done() bool { return d.Now() == nil }

// Adjusted reports whether the gauge was adjusted and is checked again.
func (d *Check) Adjusted() bool { return len(d.Left) > 0 }

// Take puts a reading into the point that wants one.
func (d *Check) Take(f gauge.Fact) error {
	p := d.Now()
	switch {
	case p == nil:
		return gauge.Refused("refusal.page.check-full")
	case f.Seq <= d.After:
		return gauge.Refused("refusal.page.nothing-new", gauge.Text("gauge", d.Gauge))
	}
	p.Readings = append(p.Readings, f)
	d.After = f.Seq
	return nil
}

// Drop takes the last reading out again.
func (d *Check) Drop() error {
	points := d.phase()
	for i := len(points) - 1; i >= 0; i-- {
		if n := len(points[i].Readings); n > 0 {
			points[i].Readings = points[i].Readings[:n-1]
			return nil
		}
	}
	return gauge.Refused("refusal.page.none-taken")
}

// Adjust begins the points anew, as left.
func (d *Check) Adjust() error {
	if !d.Done() || d.Adjusted() {
		return gauge.Refused("refusal.page.adjusted-once")
	}
	for _, p := range d.Found {
		p.Readings = nil
		d.Left = append(d.Left, p)
	}
	return nil
}

// Planned are the points that a gauge's plan wants.
func Planned(p *check.Plan) (points []Point) {
	if p == nil {
		return nil
	}
	for _, falling := range []bool{false, true} {
		if falling && !p.BothWays {
			continue
		}
		for _, id := range p.Masters {
			points = append(points, Point{Master: id, Falling: falling, Wanted: max(p.Repeats, 1)})
		}
	}
	return points
}

// FreshCheck is how old the reading of a gauge that sends all the time may be to
// be taken into a check.
const FreshCheck = 3 * time.Second

// Count is how many readings have been taken.
func (d *Check) Count() int {
	n := 0
	for _, points := range [][]Point{d.Found, d.Left} {
		for _, p := range points {
			n += len(p.Readings)
		}
	}
	return n
}

// MastersAt are the masters of points.
func MastersAt(points []Point) (ids []string) {
	for _, p := range points {
		ids = append(ids, p.Master)
	}
	return ids
}

// Celsius is the temperature that was typed, from 20 degrees; nil when nothing was.
func (d *Check) Celsius() (*check.Temperature, error) {
	if d.Temperature == "" {
		return nil, nil
	}
	t := &check.Temperature{}
	for _, part := range []struct {
		text string
		to   *gauge.Length
	}{{d.Temperature, &t.Above}, {cmp.Or(d.Tolerance, "0"), &t.Tolerance}} {
		value, err := gauge.ParseLength(part.text, gauge.One)
		if err != nil {
			return nil, gauge.WrongInput("refusal.temperature.number", gauge.Because("why", err))
		}
		*part.to = value
	}
	t.Above -= 20 * gauge.One.Size()
	return t, nil
}

// Taken are points as the station records them.
func Taken(points []Point) (to []station.CheckPoint) {
	for _, p := range points {
		c := station.CheckPoint{Master: p.Master, Falling: p.Falling}
		for _, f := range p.Readings {
			c.Readings = append(c.Readings, f.Seq)
		}
		to = append(to, c)
	}
	return to
}
