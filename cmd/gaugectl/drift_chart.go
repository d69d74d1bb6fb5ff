package main

import (
	"fmt"

	"gauged/internal/drift/chart"
	"gauged/internal/drift/picture"
)

// chart draws errors, limits, the lines of the pieces and what lies ahead.
func (v driftView) chart() chart.Chart {
	up := "error"
	if v.Unit != "" {
		up += " in " + v.Unit
	}
	return picture.Errors(v.Review, v.checks, v.MPE, picture.Words{
		Title: "Error of the gauge at its checks", Description: v.describe(), Up: up,
		Trend: "trend since the last change of level, and ahead",
		Upper: "upper end of where a further check is expected (2 standard uncertainties)", Lower: "lower end",
		Limit: func(at float64) string { return "limit " + v.signed(at) },
		Found: "error as found", Left: "error as left after an adjustment", Day: day,
	})
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
