package drift

import (
	"fmt"
	"slices"
	"time"

	"gauged/internal/chart"
	"gauged/internal/cli/show"
	"gauged/internal/health/drift"
	"gauged/internal/health/driftchart"
)

// errorChart is the drawing of the errors in the course of time.
const errorChart = "error"

// driftCharts are the drawings.
var driftCharts = append(append([]string{errorChart}, driftchart.Control...), driftchart.EWMA)

// chart draws what is asked for.
func (v driftView) chart(name string) (chart.Chart, error) {
	if name == errorChart {
		return v.errors(), nil
	}
	c, ok := driftchart.ControlChart(name, v.at, v.checks, v.controlWords(name))
	if !ok {
		return c, fmt.Errorf("there is no chart %s: %s", name, show.Says(v.at.ChartsRefused))
	}
	return c, nil
}

// in names what is counted, with the unit.
func (v driftView) in(what string) string {
	if v.Unit == "" {
		return what
	}
	return what + " in " + v.Unit
}

// controlWords are the texts of a control chart.
func (v driftView) controlWords(name string) driftchart.ControlWords {
	w := driftchart.ControlWords{
		Along: show.Say("control.along"), Centre: show.Say("control.centre"), Upper: show.Say("control.upper"), Lower: show.Say("control.lower"), Signal: show.Say("control.signal"),
		Number: v.value, Day: v.when,
	}
	switch name {
	case driftchart.Individuals:
		w.Title, w.Up, w.Value = "Individuals chart of the errors as found", v.in("error"), show.Say("drift.found")
	case driftchart.EWMA:
		w.Title, w.Up, w.Value = "Exponentially weighted moving average of the errors", v.in("average"), "average"
	case driftchart.CUSUM:
		w.Title, w.Up, w.Upper = "Cumulative sums of the errors", v.in("sum"), "limit"
		w.High, w.Low = show.Say("control.high"), show.Say("control.low")
	}
	from := "Centre and sigma are given."
	if v.at.Charts != nil && v.at.Charts.Baseline.Freedom > 0 {
		from = "Each check is compared with those before it."
	}
	w.Description = fmt.Sprintf("%s of %s. %s", w.Title, show.Plural(v.at.Checks, "check"), from)
	return w
}

// errors draws errors, limits, the lines of the pieces and what lies ahead.
func (v driftView) errors() chart.Chart {
	return driftchart.Errors(v.at, v.checks, v.at.MPE, v.others(), driftchart.Words{
		Title: "Error of the gauge at its checks" + v.named(", "), Description: v.describe(), Up: v.in("error"),
		Trend: show.Say("drift.trend"),
		Upper: show.Say("drift.upper") + " (2 standard uncertainties)", Lower: show.Say("drift.lower"),
		Limit: func(at float64) string { return show.Say("drift.limit") + " " + v.signed(at) },
		Found: show.Say("drift.found"), Left: show.Say("drift.left"), Day: v.when,
		Crossing: func(at time.Time) string { return show.Say("drift.crossing", v.when(at)) },
	})
}

// others are the other points that are still checked.
func (v driftView) others() (all []drift.Series) {
	for i, s := range v.series {
		if r := v.Points[i]; r == v.at || r.LeftOut {
			continue
		}
		s.Checks = slices.Clone(s.Checks)
		for k := range s.Checks {
			s.Checks[k].Found += s.Origin
		}
		all = append(all, s)
	}
	return all
}

// describe says in words what the chart shows.
func (v driftView) describe() string {
	text := fmt.Sprintf("%s from %s to %s, the last error as found %s.", show.Plural(v.at.Checks, "check"), v.when(v.at.From), v.when(v.at.To), v.signed(v.checks[len(v.checks)-1].Found))
	if r := v.at.ByTime; r != nil {
		text += fmt.Sprintf(" The error moves by %s per %s, standard error %s.", v.signed(r.Rate*v.per()), v.perName(), v.value(r.RateError*v.per()))
		if r.Reach != nil {
			text += fmt.Sprintf(" The limit %s: %s.", v.signed(r.Reach.Limit), reachText(r, v.date))
		}
	}
	if v.at.Steps != nil && v.at.Steps.Step != nil {
		text += " " + v.jump(v.at.Steps.Step)
	}
	return text
}
