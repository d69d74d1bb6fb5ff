package picture

import (
	"time"

	"gauged/internal/drift"
	"gauged/internal/drift/chart"
)

// The names of the control charts.
const (
	Individuals = "individuals"
	MovingRange = "moving-range"
	EWMA        = "ewma"
	CUSUM       = "cusum"
)

// Control lists the names of the control charts.
var Control = []string{Individuals, MovingRange, EWMA, CUSUM}

// ControlWords are the texts of a control chart, in any language.
type ControlWords struct {
	Title, Description string
	Up                 string // what is counted upwards, with its unit
	Along              string // what is counted along: the checks
	Value              string // what is charted
	High, Low          string // the two sums, of a CUSUM
	Centre             string
	Upper, Lower       string // limits
	Signal             string // a check that the chart points at
	Baseline           string // where the checks end that the limits are made from
	Number             func(float64) string
	Day                func(time.Time) string
}

// ControlChart draws the control chart of the name, or nothing where a review has
// no charts. Each check has its place in the order, whatever the time between them.
func ControlChart(name string, r *drift.Review, checks []drift.Check, w ControlWords) (c chart.Chart, ok bool) {
	if r == nil || r.Charts == nil {
		return c, false
	}
	p := control{r.Charts, w, 0.5, float64(len(checks)) + 0.5}
	c = chart.Chart{Title: w.Title, Description: w.Description, Up: w.Up, Along: w.Along, From: p.from, To: p.to}
	for i, k := range checks {
		c.Ticks = append(c.Ticks, chart.Tick{X: float64(i + 1), Label: w.Day(k.Time)})
	}
	var low, high float64
	switch name {
	case Individuals:
		c.Marks = []chart.Marks{p.series(w.Value, 'o', chart.Circle, func(k drift.Charted) *float64 { return &k.Found })}
		low, high = p.limits(drift.SingleChart)
		c.Lines = []chart.Line{p.level(w.Upper, high), p.centre(r.Charts.Baseline.Centre), p.level(w.Lower, low)}
	case MovingRange:
		c.Marks = []chart.Marks{p.series(w.Value, 'o', chart.Circle, func(k drift.Charted) *float64 { return k.Range })}
		low, high = p.limits(drift.RangeChart)
		c.Lines = []chart.Line{p.level(w.Upper, high), p.floor()}
		if mean := r.Charts.Baseline.Range; mean > 0 { // none with a sigma that was given
			c.Lines = append(c.Lines, p.centre(mean))
		}
	case EWMA:
		c.Marks = []chart.Marks{p.series(w.Value, 'o', chart.Circle, averaged(func(k drift.Charted) float64 { return k.Average }))}
		low, high = p.limits(drift.EWMAChart)
		c.Lines = []chart.Line{p.level(w.Upper, high), p.centre(r.Charts.Baseline.Centre), p.level(w.Lower, low)}
	case CUSUM:
		c.Marks = []chart.Marks{
			p.series(w.High, 'o', chart.Circle, averaged(func(k drift.Charted) float64 { return k.High })),
			p.series(w.Low, 'x', chart.Triangle, averaged(func(k drift.Charted) float64 { return k.Low })),
		}
		c.Marks[1].Dash = "3 3"
		low, high = p.limits(drift.CUSUMChart)
		c.Lines = []chart.Line{p.level(w.Upper, high), p.floor()}
	default:
		return c, false
	}
	if r.Charts.Baseline.Checks > 0 {
		c.Lines = append(c.Lines, p.baseline(low, high))
	}
	if signals := p.signals(name, c.Marks); len(signals.Points) > 0 {
		c.Marks = append(c.Marks, signals)
	}
	return c, true
}

// control draws one chart.
type control struct {
	*drift.Charts
	w        ControlWords
	from, to float64
}

// charted are the names that a review has for the charts.
var charted = map[string]string{Individuals: drift.SingleChart, MovingRange: drift.RangeChart, EWMA: drift.EWMAChart, CUSUM: drift.CUSUMChart}

// limits are those of a chart.
func (p control) limits(name string) (low, high float64) {
	for _, s := range p.Charts.Charts {
		if s.Name == name {
			return s.Low, s.High
		}
	}
	return 0, 0
}

func (p control) line(name string, r rune, dash string, y float64) chart.Line {
	return chart.Line{Name: name, Rune: r, Dash: dash, Points: []chart.Point{{X: p.from, Y: y}, {X: p.to, Y: y}}}
}

func (p control) level(name string, y float64) chart.Line {
	return p.line(name+" "+p.w.Number(y), '=', "12 4", y)
}

func (p control) centre(y float64) chart.Line {
	return p.line(p.w.Centre+" "+p.w.Number(y), '-', "3 3", y)
}

// floor is the line below which no range and no sum goes.
func (p control) floor() chart.Line { return p.line("", '-', "", 0) }

// baseline is where the checks end that the limits were made from.
func (p control) baseline(low, high float64) chart.Line {
	x := float64(p.Baseline.Checks) + 0.5
	return chart.Line{Name: p.w.Baseline, Rune: '|', Dash: "1 4", Points: []chart.Point{{X: x, Y: low}, {X: x, Y: high}}}
}

func (p control) series(name string, r rune, shape chart.Shape, of func(drift.Charted) *float64) chart.Marks {
	m := chart.Marks{Name: name, Rune: r, Shape: shape, Joined: true}
	for i, k := range p.Course {
		if y := of(k); y != nil {
			m.Points = append(m.Points, chart.Point{X: float64(i + 1), Y: *y})
		}
	}
	return m
}

// averaged leaves out the checks of the baseline.
func averaged(of func(drift.Charted) float64) func(drift.Charted) *float64 {
	return func(k drift.Charted) *float64 {
		if !k.Averaged {
			return nil
		}
		y := of(k)
		return &y
	}
}

// signals marks the checks that the chart points at, each at its greatest value.
func (p control) signals(name string, series []chart.Marks) chart.Marks {
	m := chart.Marks{Name: p.w.Signal, Rune: 'X', Shape: chart.Square}
	pointed := map[float64]bool{}
	for _, s := range p.Signals {
		if s.Chart == charted[name] {
			pointed[float64(s.Check)] = true
		}
	}
	greatest := map[float64]float64{}
	for _, one := range series {
		for _, at := range one.Points {
			if before, ok := greatest[at.X]; pointed[at.X] && (!ok || at.Y > before) {
				greatest[at.X] = at.Y
			}
		}
	}
	for i := range p.Course {
		if y, ok := greatest[float64(i+1)]; ok {
			m.Points = append(m.Points, chart.Point{X: float64(i + 1), Y: y})
		}
	}
	return m
}
