// Package driftchart says how a review of a gauge's checks is drawn, for the command
// line and for the bench page alike.
package driftchart

import (
	"time"

	"gauged/internal/chart"
	"gauged/internal/health/drift"
)

// Words are the texts of the drawing, in any language.
type Words struct {
	Title, Description string
	Up                 string // what is counted upwards, with its unit
	Trend              string
	Upper, Lower       string // ends of where a further check is expected
	Limit              func(float64) string
	Crossing           func(time.Time) string // says when the limit is reached; nil: it is not marked
	Found, Left        string                 // errors, as found and as left
	Day                func(time.Time) string
	Zone               *time.Location // of the dates, at round ones of which ticks stand; nil: times are no dates
	About
}

// About is what is said of a single check.
type About struct {
	Note func(drift.Check) string // nil: nothing
	Link func(drift.Check) string // address of more about it; nil: nowhere
}

func (a About) of(p chart.Point, k drift.Check) chart.Point {
	if a.Note != nil {
		p.Note = a.Note(k)
	}
	if a.Link != nil {
		p.Link = a.Link(k)
	}
	return p
}

// coverage is how many standard uncertainties an error bar has, either side.
const coverage = 2

// Errors draws errors, limits, the trend since the last change of level and what
// lies ahead; beside them the errors at the other points. A nil review, as of too few checks,
// leaves the checks and the limits.
func Errors(r *drift.Review, checks []drift.Check, limit float64, others []drift.Series, w Words) chart.Chart {
	c := chart.Chart{Title: w.Title, Up: w.Up, Description: w.Description}
	if len(checks) == 0 {
		return c
	}
	from := checks[0].Time
	end := drift.Days(from, checks[len(checks)-1].Time)
	if r != nil && r.ByTime != nil {
		c.Lines, c.Flags, end = trend(r, checks, w)
	}
	begin, ticks := 0.0, 5
	for _, o := range others {
		begin, end = min(begin, drift.Days(from, o.Checks[0].Time)), max(end, drift.Days(from, o.Checks[len(o.Checks)-1].Time))
	}
	if begin == end { // a single check stands in the middle of its limits
		begin, end, ticks = begin-1, end+1, 1
	}
	if limit > 0 {
		c.Near = []float64{limit, -limit}
		for _, at := range c.Near {
			c.Lines = append(c.Lines, chart.Line{Name: w.Limit(at), Tone: chart.Limit, Rune: '=', Dash: "12 4", Points: []chart.Point{{X: begin, Y: at}, {X: end, Y: at}}})
		}
	}
	for i, o := range others {
		c.Lines = append(c.Lines, beside(from, o, i))
	}
	c.Marks = marks(checks, w)
	room := (end - begin) / 40 // so that the first and the last check do not lie on the frame
	c.From, c.To = begin-room, end+room
	if w.Zone != nil {
		c.Ticks = calendar(from.In(w.Zone), begin, end, w.Day)
		return c
	}
	for i := range ticks {
		x := end * float64(i) / 4
		c.Ticks = append(c.Ticks, chart.Tick{X: x, Label: w.Day(drift.Date(from, x))})
	}
	return c
}

// besideDashes tell the lines of other points apart.
var besideDashes = []string{"2 3", "6 2", "8 3 2 3", "1 5", "10 2 2 2 2 2"}

// beside is the line of another point.
func beside(from time.Time, o drift.Series, i int) chart.Line {
	l := chart.Line{Name: o.Point, Tone: chart.Quiet, Rune: rune('a' + i%26), Dash: besideDashes[i%len(besideDashes)]}
	for _, k := range o.Checks {
		l.Points = append(l.Points, chart.Point{X: drift.Days(from, k.Time), Y: k.Found})
	}
	return l
}

// trend draws the line and where a further check is expected, and returns how far
// the drawing goes.
func trend(r *drift.Review, checks []drift.Check, w Words) (lines []chart.Line, flags []chart.Flag, end float64) {
	last := drift.Days(r.From, r.To)
	end = ahead(r, last)
	begin := pieceBegin(r, checks)
	low, _ := r.ByTime.At(begin)
	high, _ := r.ByTime.At(end)
	lines = append(lines, chart.Line{Name: w.Trend, Rune: '.', Points: []chart.Point{{X: begin, Y: low}, {X: end, Y: high}}})
	if reach := r.ByTime.Reach; w.Crossing != nil && reach != nil && reach.Significant && reach.X >= begin && reach.X <= end {
		flags = []chart.Flag{{X: reach.X, Y: reach.Limit, Label: w.Crossing(r.Date(reach.X))}}
	}
	if end <= last {
		return lines, flags, end
	}
	band := func(sign float64) (points []chart.Point) {
		const steps = 24
		for i := range steps + 1 {
			x := last + (end-last)*float64(i)/steps
			value, u := r.ByTime.Next(x)
			points = append(points, chart.Point{X: x, Y: value + sign*coverage*u})
		}
		return points
	}
	return append(lines,
		chart.Line{Name: w.Upper, Tone: chart.Quiet, Rune: '\'', Dash: "2 4", Points: band(1)},
		chart.Line{Name: w.Lower, Tone: chart.Quiet, Rune: ',', Dash: "2 4", Points: band(-1)}), flags, end
}

// ahead is how far the drawing goes: to the limit, and not more than twice the
// time of the checks.
func ahead(r *drift.Review, last float64) float64 {
	end := last * 1.25
	if reach := r.ByTime.Reach; reach != nil && reach.Significant && reach.X > last {
		end = max(end, reach.X)
	}
	return min(end, last*2)
}

// pieceBegin is the day at which the piece that goes on began.
func pieceBegin(r *drift.Review, checks []drift.Check) float64 {
	begin := 0
	for i, c := range checks {
		if c.Changed() {
			begin = i
		}
	}
	if r.Steps != nil && r.Steps.Step != nil {
		begin = max(begin, r.Steps.Step.Before-1)
	}
	return drift.Days(r.From, checks[begin].Time)
}

func marks(checks []drift.Check, w Words) []chart.Marks {
	found := chart.Marks{Name: w.Found, Rune: 'o', Shape: chart.Circle}
	left := chart.Marks{Name: w.Left, Rune: 'x', Shape: chart.Cross}
	for _, k := range checks {
		x := drift.Days(checks[0].Time, k.Time)
		found.Points = append(found.Points, w.of(chart.Point{X: x, Y: k.Found, Bar: k.Around()}, k))
		if k.Left != nil {
			left.Points = append(left.Points, chart.Point{X: x, Y: *k.Left})
		}
	}
	if len(left.Points) == 0 {
		return []chart.Marks{found}
	}
	return []chart.Marks{found, left}
}
