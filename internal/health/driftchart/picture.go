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
	Found, Left        string // errors, as found and as left
	Day                func(time.Time) string
}

// Errors draws errors, limits, the trend since the last change of level and what
// lies ahead. A nil review, as of too few checks, leaves the checks and the limits.
func Errors(r *drift.Review, checks []drift.Check, limit float64, w Words) chart.Chart {
	c := chart.Chart{Title: w.Title, Up: w.Up, Description: w.Description}
	if len(checks) == 0 {
		return c
	}
	from := checks[0].Time
	end := drift.Days(from, checks[len(checks)-1].Time)
	if r != nil && r.ByTime != nil {
		var lines []chart.Line
		lines, end = trend(r, checks, w)
		c.Lines = append(c.Lines, lines...)
	}
	begin, ticks := 0.0, 5
	if end == 0 { // a single check stands in the middle of its limits
		begin, end, ticks = -1, 1, 1
	}
	if limit > 0 {
		for _, at := range []float64{limit, -limit} {
			c.Lines = append(c.Lines, chart.Line{Name: w.Limit(at), Rune: '=', Dash: "12 4", Points: []chart.Point{{X: begin, Y: at}, {X: end, Y: at}}})
		}
	}
	c.Marks = marks(checks, w)
	room := (end - begin) / 40 // so that the first and the last check do not lie on the frame
	c.From, c.To = begin-room, end+room
	for i := range ticks {
		x := end * float64(i) / 4
		c.Ticks = append(c.Ticks, chart.Tick{X: x, Label: w.Day(drift.Date(from, x))})
	}
	return c
}

// trend draws the line and where a further check is expected, and returns how far
// the drawing goes.
func trend(r *drift.Review, checks []drift.Check, w Words) (lines []chart.Line, end float64) {
	last := drift.Days(r.From, r.To)
	end = ahead(r, last)
	begin := pieceBegin(r, checks)
	low, _ := r.ByTime.At(begin)
	high, _ := r.ByTime.At(end)
	lines = append(lines, chart.Line{Name: w.Trend, Rune: '.', Points: []chart.Point{{X: begin, Y: low}, {X: end, Y: high}}})
	if end <= last {
		return lines, end
	}
	band := func(sign float64) (points []chart.Point) {
		const steps = 24
		for i := range steps + 1 {
			x := last + (end-last)*float64(i)/steps
			value, u := r.ByTime.Next(x)
			points = append(points, chart.Point{X: x, Y: value + sign*2*u})
		}
		return points
	}
	return append(lines,
		chart.Line{Name: w.Upper, Rune: '\'', Dash: "2 4", Points: band(1)},
		chart.Line{Name: w.Lower, Rune: ',', Dash: "2 4", Points: band(-1)}), end
}

// ahead is how far the drawing goes: to the limit, and not more than half of the
// time of the checks.
func ahead(r *drift.Review, last float64) float64 {
	end := last * 1.25
	if reach := r.ByTime.Reach; reach != nil && reach.Significant && reach.X > last {
		end = max(end, reach.X)
	}
	return min(end, last*1.5)
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
		found.Points = append(found.Points, chart.Point{X: x, Y: k.Found})
		if k.Left != nil {
			left.Points = append(left.Points, chart.Point{X: x, Y: *k.Left})
		}
	}
	if len(left.Points) == 0 {
		return []chart.Marks{found}
	}
	return []chart.Marks{found, left}
}
