package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"gauged/internal/drift"
)

// yearDays is the year that a rate is shown for.
const yearDays = 365.25

// horizon is how far ahead, in days, a date is named.
const horizon = 100 * yearDays

// driftView is a review as it is shown; as JSON, rates are per day or use and
// places in days since the first check, or uses.
type driftView struct {
	*drift.Review
	Unit   string   `json:"unit,omitempty"`
	Unused []string `json:"unusedColumns,omitempty"`
	checks []drift.Check
	since  time.Time // of the check that the next interval begins at
}

func (v driftView) value(x float64) string {
	return strings.TrimSpace(number(x) + " " + v.Unit)
}

func (v driftView) signed(x float64) string {
	if x > 0 {
		return "+" + v.value(x)
	}
	return v.value(x)
}

// number writes x to four digits. What arithmetic leaves behind the twelfth does not
// decide how it is rounded.
func number(x float64) string {
	if close, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 12, 64), 64); err == nil {
		x = close
	}
	if rounded, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 4, 64), 64); err == nil && (math.Abs(rounded) >= 1e-6 && math.Abs(rounded) < 1e9 || rounded == 0) {
		return strconv.FormatFloat(rounded+0, 'f', -1, 64)
	}
	return strconv.FormatFloat(x, 'g', 4, 64)
}

func day(t time.Time) string { return t.Format(time.DateOnly) }

// date writes the day that lies days after the first check.
func (v driftView) date(days float64) string {
	switch last := drift.Days(v.From, v.To); {
	case days > last+horizon:
		return "in more than 100 years"
	case days < -horizon:
		return "more than 100 years ago"
	}
	return day(drift.Date(v.From, days))
}

func (v driftView) render(w io.Writer) {
	of := ""
	if v.Unit != "" {
		of = "; errors in " + v.Unit
	}
	fmt.Fprintf(w, "%s from %s to %s, %s%s.\n", plural(v.Checks, "check"), day(v.From), day(v.To), plural(v.Adjustments, "adjustment"), of)
	for _, name := range v.Unused {
		fmt.Fprintf(w, "! The column %q is not used.\n", name)
	}
	fmt.Fprintln(w, "\nTrend over time")
	v.renderRate(w, v.ByTime, v.ByTimeRefused, yearDays, "year", func(x float64) string { return v.date(x) })
	if v.ByUse != nil {
		fmt.Fprintln(w, "\nTrend over uses")
		v.renderRate(w, v.ByUse, "", 1000, "1000 uses", func(x float64) string { return number(math.Round(x)) + " uses" })
	}
	fmt.Fprintln(w, "\nStep")
	v.renderStep(w)
	fmt.Fprintln(w, "\nControl charts of the errors as found")
	v.renderCharts(w)
	v.renderSpreads(w)
	v.renderNoise(w)
	fmt.Fprintln(w, "\nNext interval")
	v.renderAdvice(w)
}

// renderRate writes a trend; per is how many x a rate is shown for.
func (v driftView) renderRate(w io.Writer, r *drift.Rate, refused string, per float64, unit string, place func(float64) string) {
	if r == nil {
		fmt.Fprintf(w, "  none: %s\n", refused)
		return
	}
	word := "not significant"
	if r.Significant {
		word = "significant"
	}
	weighted := ""
	if r.Weighted {
		weighted = ", weighted by the uncertainties"
	}
	columns(w, func(tab io.Writer) {
		fmt.Fprintf(tab, "  rate\t%s per %s, standard error %s, %d degrees of freedom%s\t\n", v.signed(r.Rate*per), unit, v.value(r.RateError*per), r.DoF, weighted)
		fmt.Fprintf(tab, "  95 %% interval\t%s to %s per %s: %s\t\n", v.signed(r.Low*per), v.signed(r.High*per), unit, word)
		fmt.Fprintf(tab, "  scatter\t%s, the standard deviation of one check about the line\t\n", v.value(r.SD))
		fmt.Fprintf(tab, "  at %s\t%s, standard uncertainty %s\t\n", place(r.Last), v.signed(r.Now), v.value(r.NowError))
		if r.Reach != nil {
			fmt.Fprintf(tab, "  limit %s\t%s\t\n", v.signed(r.Reach.Limit), reachText(r, place))
		}
	})
	if r.Reach != nil && r.Reach.Outside {
		fmt.Fprintf(w, "  ! The line is beyond a limit already.\n")
	}
	if r.Far {
		fmt.Fprintf(w, "  ! The limit is further ahead than the checks reach back: nobody knows that the rate stays.\n")
	}
}

func reachText(r *drift.Rate, place func(float64) string) string {
	switch {
	case !r.Reach.Significant:
		return "not reached: the rate is not significant"
	case r.Reach.X < r.Last:
		return fmt.Sprintf("was reached at %s; 95 %% interval %s to %s", place(r.Reach.X), place(r.Reach.Early), place(r.Reach.Late))
	}
	return fmt.Sprintf("reached at %s; 95 %% interval %s to %s (Fieller)", place(r.Reach.X), place(r.Reach.Early), place(r.Reach.Late))
}

func (v driftView) renderStep(w io.Writer) {
	if v.Steps == nil {
		fmt.Fprintf(w, "  not looked for: %s\n", v.StepsRefused)
		return
	}
	words := map[drift.Model]string{
		drift.Steady: "none, and no rate either", drift.Slope: "none: a steady rate explains the errors",
		drift.SlopeOrStep: "a step or a rate: these checks do not tell which",
	}
	s := v.Steps.Step
	if s == nil {
		fmt.Fprintf(w, "  %s; looked for at %s, false alarms in at most %s %% of histories\n", words[v.Steps.Model], plural(v.Steps.Places, "place"), number(100*v.Steps.Level))
		return
	}
	fmt.Fprintf(w, "  between %s and %s the error jumped by %s, standard uncertainty %s\n", day(s.AfterTime), day(s.BeforeTime), v.signed(s.Size), v.value(s.SizeError))
	fmt.Fprintf(w, "  F %s against %s, at the best of %s; false alarms in at most %s %% of histories\n", number(s.F), number(s.Limit), plural(s.Places, "place"), number(100*v.Steps.Level))
	if s.EarliestAfter < s.After || s.LatestBefore > s.Before {
		fmt.Fprintf(w, "  it may as well lie anywhere between %s and %s (95 %%)\n", day(s.EarliestTime), day(s.LastTime))
	}
	fmt.Fprintf(w, "  ! Was the gauge adjusted, dropped or repaired then? The trend takes it for a change of level.\n")
}

func (v driftView) renderSpreads(w io.Writer) {
	fmt.Fprintln(w, "\nSpread within the checks")
	if v.Spreads == nil {
		fmt.Fprintf(w, "  not judged: %s\n", v.SpreadsRefused)
		return
	}
	fmt.Fprintf(w, "  pooled %s, %d degrees of freedom", v.value(v.Spreads.Pooled), v.Spreads.DoF)
	if l := v.Spreads.Last; l != nil {
		fmt.Fprintf(w, "; last F %s against %s (one false alarm in %.0f checks)", number(l.F), number(l.Limit), 1/v.Spreads.Level)
	}
	fmt.Fprintln(w)
	v.renderSignals(w, v.Spreads.Signals)
}

// renderNoise writes what scatters too much to say anything.
func (v driftView) renderNoise(w io.Writer) {
	for _, text := range v.Noise {
		fmt.Fprintf(w, "  ! %s\n", text)
	}
}

// renderSignals writes a line for each kind of signal.
func (v driftView) renderSignals(w io.Writer, signals []drift.Signal) {
	for i, s := range signals {
		same := func(o drift.Signal) bool { return o.Chart == s.Chart && o.What == s.What }
		if slices.IndexFunc(signals, same) < i {
			continue
		}
		n, last := 0, s
		for _, o := range signals {
			if same(o) {
				n, last = n+1, o
			}
		}
		fmt.Fprintf(w, "  ! %s: %s, %s, check %d", s.Chart, s.What, day(s.Time), s.Check)
		if n > 1 {
			fmt.Fprintf(w, ", and to %s, check %d, %s in all", day(last.Time), last.Check, plural(n, "time"))
		}
		fmt.Fprintln(w)
	}
}

func (v driftView) renderCharts(w io.Writer) {
	if v.Charts == nil {
		fmt.Fprintf(w, "  none: %s\n", v.ChartsRefused)
		return
	}
	b := v.Charts.Baseline
	if b.Freedom > 0 {
		fmt.Fprintf(w, "  by %s: centre %s, sigma %s (known to %.0f %%); each check is compared with those before it\n\n", plural(v.Checks, "check"), v.signed(b.Centre), v.value(b.Sigma), 100*v.Charts.SigmaUncertainty)
	} else {
		fmt.Fprintf(w, "  as given: centre %s, sigma %s\n\n", v.signed(b.Centre), v.value(b.Sigma))
	}
	columns(w, func(tab io.Writer) {
		fmt.Fprintf(tab, "  chart\tnow\tlimits\tsignals\tin control one in\tafter 1 sigma one in\t\n")
		for _, c := range v.Charts.Charts {
			fmt.Fprintf(tab, "  %s\t%s\t%s to %s\t%d\t%s\t%.1f\t\n", c.Name, number(c.Value), number(c.Low), number(c.High), c.Signals, many(c.RunLength), c.Shifted)
		}
	})
	v.renderSignals(w, v.Charts.Signals)
}

// many writes a run length that may be beyond use.
func many(x float64) string {
	if x > 1e5 {
		return "more than 100000"
	}
	return fmt.Sprintf("%.0f", x)
}

func (v driftView) renderAdvice(w io.Writer) {
	for _, a := range v.Advice {
		next := "check and look at the gauge now"
		if a.Next > 0 {
			whole := number(a.Next)
			if a.Next >= 1 {
				whole = fmt.Sprintf("%.0f", math.Floor(a.Next))
			}
			next = fmt.Sprintf("%s %s (%s)", whole, a.Unit, a.Change)
			if a.Unit == "days" {
				next += ", by " + day(v.since.AddDate(0, 0, int(a.Next)))
			}
		}
		fmt.Fprintf(w, "  %s: %s\n", a.Method, next)
		for _, reason := range a.Reasons {
			fmt.Fprintf(w, "    - %s\n", reason)
		}
	}
	for _, refused := range v.AdviceRefused {
		fmt.Fprintf(w, "  none %s\n", refused)
	}
}
