package main

import (
	"fmt"

	"gauged/internal/drift"
	"gauged/internal/drift/chart"
)

// chart draws errors, limits, the lines of the pieces and what lies ahead.
func (v driftView) chart() chart.Chart {
	up := "error"
	if v.Unit != "" {
		up += " in " + v.Unit
	}
	last := drift.Days(v.From, v.To)
	c := chart.Chart{Title: "Error of the gauge at its checks", Up: up, Description: v.describe()}
	end := last
	if r := v.ByTime; r != nil {
		end = v.ahead(last)
		band := func(sign float64) (points []chart.Point) {
			const steps = 24
			for i := range steps + 1 {
				x := last + (end-last)*float64(i)/steps
				value, u := r.Next(x)
				points = append(points, chart.Point{X: x, Y: value + sign*2*u})
			}
			return points
		}
		begin := v.pieceBegin()
		from, _ := r.At(begin)
		to, _ := r.At(end)
		c.Lines = append(c.Lines,
			chart.Line{Name: "trend since the last change of level, and ahead", Rune: '.', Points: []chart.Point{{X: begin, Y: from}, {X: end, Y: to}}})
		if end > last {
			c.Lines = append(c.Lines,
				chart.Line{Name: "upper end of where a further check is expected (2 standard uncertainties)", Rune: '\'', Dash: "2 4", Points: band(1)},
				chart.Line{Name: "lower end", Rune: ',', Dash: "2 4", Points: band(-1)})
		}
	}
	if v.MPE > 0 {
		for _, limit := range []float64{v.MPE, -v.MPE} {
			c.Lines = append(c.Lines, chart.Line{Name: "limit " + v.signed(limit), Rune: '=', Dash: "12 4", Points: []chart.Point{{X: 0, Y: limit}, {X: end, Y: limit}}})
		}
	}
	found := chart.Marks{Name: "error as found", Rune: 'o', Shape: chart.Circle}
	left := chart.Marks{Name: "error as left after an adjustment", Rune: 'x', Shape: chart.Cross}
	for _, k := range v.checks {
		x := drift.Days(v.From, k.Time)
		found.Points = append(found.Points, chart.Point{X: x, Y: k.Found})
		if k.Left != nil {
			left.Points = append(left.Points, chart.Point{X: x, Y: *k.Left})
		}
	}
	c.Marks = append(c.Marks, found)
	if len(left.Points) > 0 {
		c.Marks = append(c.Marks, left)
	}
	for i := range 5 {
		x := end * float64(i) / 4
		c.Ticks = append(c.Ticks, chart.Tick{X: x, Label: day(drift.Date(v.From, x))})
	}
	return c
}

// ahead is how far the chart goes: to the limit, and not more than half of the
// time of the checks.
func (v driftView) ahead(last float64) float64 {
	end := last * 1.25
	if r := v.ByTime.Reach; r != nil && r.Significant && r.X > last {
		end = max(end, r.X)
	}
	return min(end, last*1.5)
}

// pieceBegin is the day at which the piece that goes on began.
func (v driftView) pieceBegin() float64 {
	begin := 0
	for i, c := range v.checks {
		if c.Left != nil {
			begin = i
		}
	}
	if v.Steps != nil && v.Steps.Step != nil {
		begin = max(begin, v.Steps.Step.Before-1)
	}
	return drift.Days(v.From, v.checks[begin].Time)
}

// describe says in words what the chart shows.
func (v driftView) describe() string {
	text := fmt.Sprintf("%s from %s to %s, the last error as found %s.", plural(v.Checks, "check"), day(v.From), day(v.To), v.signed(v.checks[len(v.checks)-1].Found))
	if r := v.ByTime; r != nil {
		text += fmt.Sprintf(" The error moves by %s per year, standard error %s.", v.signed(r.Rate*yearDays), v.value(r.RateError*yearDays))
		if r.Reach != nil {
			text += fmt.Sprintf(" The limit %s: %s.", v.signed(r.Reach.Limit), reachText(r, v.date))
		}
	}
	if v.Steps != nil && v.Steps.Step != nil {
		text += fmt.Sprintf(" Between %s and %s the error jumped by %s.", day(v.Steps.Step.AfterTime), day(v.Steps.Step.BeforeTime), v.signed(v.Steps.Step.Size))
	}
	return text
}
