package lists

import (
	"slices"
	"strings"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/job"
)

// Asked is what the list of jobs is asked for, as it stands in its address. What is empty
// chooses nothing.
type Asked struct {
	Serial, Order, Outcome, Procedure, Gauge, Person string
	Since, Until                                     string // days; the last one is among them
}

// Read reads what is asked for from the values of an address.
func Read(value func(name string) string) Asked {
	text := func(name string) string { return strings.TrimSpace(value(name)) }
	return Asked{text("serial"), text("order"), text("outcome"), text("procedure"), text("gauge"), text("person"), text("since"), text("until")}
}

// Names are the fields with their values, for an address.
func (a Asked) Names(more ...string) []string {
	return append([]string{
		"serial", a.Serial, "order", a.Order, "outcome", a.Outcome, "procedure", a.Procedure, "gauge", a.Gauge, "person", a.Person, "since", a.Since, "until", a.Until,
	}, more...)
}

// Query is what the history is asked for.
func (a Asked) Query() (q gauge.JobQuery, err error) {
	q = gauge.JobQuery{Unit: a.Serial, Labels: Ordered(a.Order), Outcome: a.Outcome, Procedure: a.Procedure, Gauge: a.Gauge, By: a.Person}
	switch {
	case a.Outcome == Unfinished:
		q.Outcome, q.Unfinished = "", true
	case a.Outcome != "" && !slices.Contains(Outcomes, evaluate.Outcome(a.Outcome)):
		return q, gauge.WrongInput("refusal.page.no-outcome", gauge.Text("text", a.Outcome))
	}
	q.Standing = q.Outcome != ""
	if q.Since, err = Day(a.Since); err != nil {
		return q, err
	}
	if q.Until, err = Day(a.Until); err == nil && !q.Until.IsZero() {
		q.Until = q.Until.AddDate(0, 0, 1)
		if !q.Since.Before(q.Until) {
			err = gauge.WrongInput("refusal.page.days-swapped", gauge.Text("begin", a.Since), gauge.Text("end", a.Until))
		}
	}
	return q, err
}

// Ordered are the labels of a job that has an order; nil for none.
func Ordered(order string) job.Labels {
	if order = strings.TrimSpace(order); order == "" {
		return nil
	}
	return job.Labels{job.LabelOrder: order}
}

// Day is the beginning of a day; zero of an empty text.
func Day(text string) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	day, err := time.ParseInLocation(time.DateOnly, text, time.Local)
	if err != nil {
		return day, gauge.WrongInput("refusal.page.no-day", gauge.Text("text", text))
	}
	return day, nil
}

// Unfinished is what a job is asked for by that was closed before it had a verdict.
const Unfinished = "unfinished"

// Outcomes are where a job can stand.
var Outcomes = []evaluate.Outcome{
	evaluate.Measuring, evaluate.MeasureAgain, evaluate.FitPart, evaluate.NothingFits, evaluate.TooMany, evaluate.VerifyFit,
	evaluate.Conforms, evaluate.DoesNotConform, evaluate.Undecided, evaluate.WrongPart, evaluate.Calculated,
}
