package driftchart

import (
	"time"

	"gauged/internal/chart"
	"gauged/internal/health/drift"
)

// The names of the control charts.
const (
	Individuals = "individuals"
	CUSUM       = "cusum"
	EWMA        = "ewma" // of a review that was asked for it
)

// Control lists the control charts that every review with charts has.
var Control = []string{Individuals, CUSUM}

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
	Number             func(float64) string
	Day                func(time.Time) string
	About
}

// ControlChart draws the control chart of the name, or nothing where a review has
// no charts. Each check has its place in the order, whatever the time between them.
func ControlChart(name string, r *drift.Review, checks []drift.Check, w ControlWords) (c chart.Chart, ok bool) {
	if r == nil || r.Charts == nil {
		return c, false
	}
	p := control{r.Charts, checks, w, 0.5, float64(len(checks)) + 0.5}
	c = chart.Chart{Title: w.Title, Description: w.Description, Up: w.Up, Along: w.Along, From: p.from, To: p.to}
	for i, k := range checks {
		c.Ticks = append(c.Ticks, chart.Tick{X: float64(i + 1), Label: w.Day(k.Time)})
	}
	b := p.Baseline
	state, ok := p.state(name)
	if !ok {
		return c, false
	}
	c.Near = []float64{state.High, state.Low}
	switch name {
	case Individuals:
		c.Marks = []chart.Marks{p.series(w.Value, 'o', chart.Circle, func(k drift.Charted) *float64 { return &k.Found })}
		c.Lines = []chart.Line{
			p.course(w.Upper+" "+w.Number(state.High), limitRune, "12 4", func(k drift.Charted) float64 { return k.High }),
			p.course(w.Centre+" "+w.Number(b.Centre), '-', "3 3", func(k drift.Charted) float64 { return k.Centre }),
			p.course(w.Lower+" "+w.Number(state.Low), limitRune, "12 4", func(k drift.Charted) float64 { return k.Low }),
		}
	case EWMA:
		c.Marks = []chart.Marks{p.series(w.Value, 'o', chart.Circle, judged(func(k drift.Charted) float64 { return b.Centre + k.Average*b.Sigma }))}
		c.Lines = []chart.Line{p.level(w.Upper, state.High), p.centre(b.Centre), p.level(w.Lower, state.Low)}
	case CUSUM:
		c.Marks = []chart.Marks{
			p.series(w.High, 'o', chart.Circle, judged(func(k drift.Charted) float64 { return k.Above * b.Sigma })),
			p.series(w.Low, 'x', chart.Triangle, judged(func(k drift.Charted) float64 { return k.Below * b.Sigma })),
		}
		c.Marks[1].Dash = "3 3"
		c.Near = []float64{state.High, 0}
		c.Lines = []chart.Line{p.level(w.Upper, state.High), p.floor()}
	}
	if signals := p.signals(name, c.Marks); len(signals.Points) > 0 {
		c.Marks = append(c.Marks, signals)
	}
	return c, true
}

// control draws one chart.
type control struct {
	*drift.Charts
	checks   []drift.Check
	w        ControlWords
	from, to float64
}

// charted are the names that a review has for the charts.
var charted = map[string]string{Individuals: drift.SingleChart, EWMA: drift.EWMAChart, CUSUM: drift.CUSUMChart}

// state is that of a chart.
func (p control) state(name string) (drift.State, bool) {
	for _, s := range p.Charts.Charts {
		if s.Name == charted[name] {
			return s, true
		}
	}
	return drift.State{}, false
}

// widest is how wide limits are drawn, in sigma: those of the third check would leave
// no room for the errors.
const widest = 20

// course is a line of limits, of which each judged check has its own.
func (p control) course(name string, r rune, dash string, of func(drift.Charted) float64) chart.Line {
	l := chart.Line{Name: name, Tone: toneOf(r), Rune: r, Dash: dash}
	for _, k := range p.Course {
		if k.Judged && k.High-k.Low < widest*p.Baseline.Sigma {
			x, y := float64(k.Check), of(k)
			l.Points = append(l.Points, chart.Point{X: x - 0.5, Y: y}, chart.Point{X: x + 0.5, Y: y})
		}
	}
	return l
}

// limitRune is the letter of limits.
const limitRune = '='

func toneOf(r rune) chart.Tone {
	if r == limitRune {
		return chart.Limit
	}
	return chart.Quiet
}

func (p control) line(name string, r rune, dash string, y float64) chart.Line {
	return chart.Line{Name: name, Tone: toneOf(r), Rune: r, Dash: dash, Points: []chart.Point{{X: p.from, Y: y}, {X: p.to, Y: y}}}
}

func (p control) level(name string, y float64) chart.Line {
	return p.line(name+" "+p.w.Number(y), limitRune, "12 4", y)
}

func (p control) centre(y float64) chart.Line {
	return p.line(p.w.Centre+" "+p.w.Number(y), '-', "3 3", y)
}

// floor is the line below which no range and no sum goes.
func (p control) floor() chart.Line { return p.line("", '-', "", 0) }

func (p control) series(name string, r rune, shape chart.Shape, of func(drift.Charted) *float64) chart.Marks {
	m := chart.Marks{Name: name, Rune: r, Shape: shape, Joined: true}
	for _, k := range p.Course {
		if y := of(k); y != nil {
			m.Points = append(m.Points, p.w.of(chart.Point{X: float64(k.Check), Y: *y}, p.checks[k.Check-1]))
		}
	}
	return m
}

// judged leaves out the checks that there was nothing to compare with.
func judged(of func(drift.Charted) float64) func(drift.Charted) *float64 {
	return func(k drift.Charted) *float64 {
		if !k.Judged {
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
	greatest := map[float64]chart.Point{}
	for _, one := range series {
		for _, at := range one.Points {
			if before, ok := greatest[at.X]; pointed[at.X] && (!ok || at.Y > before.Y) {
				greatest[at.X] = at
			}
		}
	}
	for _, k := range p.Course {
		if at, ok := greatest[float64(k.Check)]; ok {
			m.Points = append(m.Points, at)
		}
	}
	for _, one := range series { // what lies under a signal is said once
		for i, at := range one.Points {
			if pointed[at.X] && at == greatest[at.X] {
				one.Points[i].Note, one.Points[i].Link = "", ""
			}
		}
	}
	return m
}
