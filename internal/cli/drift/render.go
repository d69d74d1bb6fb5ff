package drift

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"gauged/internal/cli/show"
	"gauged/internal/gauge"
	"gauged/internal/health/drift"
)

// yearDays is the year that a rate is shown for.
const yearDays = 365.25

// horizon is how far ahead, in days, a date is named.
const horizon = 100 * yearDays

// driftView is a review as it is shown; as JSON, rates are per day or use and
// places in days since the first check, or uses. Where the times are numbers one of
// them counts as a day.
type driftView struct {
	*drift.Gauge
	Unit   string   `json:"unit,omitempty"`
	Unused []string `json:"unused_columns,omitempty"`
	// Remarks say what in the file may not be meant as it is read.
	Remarks []string `json:"remarks,omitempty"`
	First   *float64 `json:"first_time,omitempty"` // of the first row, where times are numbers: 2000-01-01 stands for it
	series  []drift.Series
	clock   checkClock

	at     *drift.Review // that is shown in full
	checks []drift.Check // of it, with their whole errors
}

// look takes the point that is shown in full; without a name the one that decides.
func (v *driftView) look(point string) error {
	i := v.Decides
	if point != "" {
		var known []string
		for _, r := range v.Points {
			known = append(known, r.Point)
		}
		if i = slices.Index(known, point); i < 0 {
			return fmt.Errorf("--point %q: there are %s", point, strings.Join(known, "; "))
		}
	}
	if v.clock.numeric() {
		first := v.clock.number(numberEpoch)
		v.First = &first
	}
	v.at, v.checks = v.Points[i], slices.Clone(v.series[i].Checks)
	origin := v.series[i].Origin
	for k := range v.checks {
		c := &v.checks[k]
		c.Found += origin
		if c.Left != nil {
			left := *c.Left + origin
			c.Left = &left
		}
	}
	return nil
}

// named is the point that is shown, after something; empty where points have no names.
func (v driftView) named(after string) string {
	if v.at.Point == "" {
		return ""
	}
	return after + v.at.Point
}

// since is the last check that began an interval: zero returns do not.
func (v driftView) since() (last time.Time) {
	for _, s := range v.series {
		for _, c := range s.Checks {
			if !c.Aside && c.Time.After(last) {
				last = c.Time
			}
		}
	}
	return last
}

// when writes the time of a check.
func (v driftView) when(t time.Time) string {
	if v.clock.numeric() {
		return v.clock.written(v.clock.number(t), 0)
	}
	return day(t)
}

// every is how far the checks lie apart in the mean; 0 with one.
func (v driftView) every() float64 {
	return drift.Days(v.at.From, v.at.To) / float64(max(v.at.Checks-1, 1))
}

// per is how many days a rate is shown for, and perName what that is called.
func (v driftView) per() float64 {
	if v.clock.numeric() {
		return 1
	}
	return yearDays
}

func (v driftView) perName() string {
	if v.clock.numeric() {
		return "unit of time"
	}
	return "year"
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
	last := drift.Days(v.at.From, v.at.To)
	switch {
	case v.clock.numeric():
		return v.clock.written(v.clock.number(v.at.From)+days, v.every())
	case days > last+horizon:
		return "in more than 100 years"
	case days < -horizon:
		return "more than 100 years ago"
	}
	return day(v.at.Date(days))
}

func (v driftView) render(w io.Writer) {
	r := v.at
	v.renderChecks(w)
	if r.Repeated != nil {
		fmt.Fprintf(w, "Checks on the same occasion scatter by %s, %d degrees of freedom.\n", v.value(r.Repeated.SD), r.Repeated.DoF)
	}
	fmt.Fprintf(w, "Error at the last check: %s", v.signed(r.Last))
	if r.LastError > 0 {
		fmt.Fprintf(w, ", standard uncertainty %s", v.value(r.LastError))
	}
	if r.Beyond != nil {
		fmt.Fprintf(w, "; %s", v.beyond(r.Beyond))
	}
	fmt.Fprintln(w, ".\n\nTrend over time")
	v.renderRate(w, r.ByTime, r.ByTimeRefused, v.per(), v.perName(), v.date)
	v.renderCorrelation(w)
	if r.ByUse != nil {
		fmt.Fprintln(w, "\nTrend over uses")
		v.renderRate(w, r.ByUse, gauge.Message{}, 1000, "1000 uses", func(x float64) string { return number(math.Round(x)) + " uses" })
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

// renderChecks says which checks there are, and what was not used of a file.
func (v driftView) renderChecks(w io.Writer) {
	of := ""
	if v.Unit != "" {
		of = "; errors in " + v.Unit
	}
	r := v.at
	if len(v.Points) > 1 {
		v.renderPoints(w)
		fmt.Fprintf(w, "\n%s: ", r.Point)
	}
	occasions := ""
	if r.Occasions < r.Checks {
		occasions = " on " + show.Plural(r.Occasions, "occasion")
	}
	fmt.Fprintf(w, "%s%s from %s to %s, %s%s.\n", show.Plural(r.Checks, "check"), occasions, v.when(r.From), v.when(r.To), show.Plural(r.Adjustments, "adjustment"), of)
	for _, name := range v.Unused {
		fmt.Fprintf(w, "! The column %q is not used.\n", name)
	}
	for _, remark := range v.Remarks {
		fmt.Fprintf(w, "! %s\n", remark)
	}
}

// renderCorrelation says whether neighbouring residuals are alike.
func (v driftView) renderCorrelation(w io.Writer) {
	c := v.at.Correlation
	if c == nil {
		return
	}
	fmt.Fprintf(w, "  neighbouring checks: autocorrelation of the residuals %s; if independent, it is below %s in 95 %% of histories\n", number(c.Lag1), number(c.Limit))
	if c.Alike {
		fmt.Fprintln(w, "  ! "+show.Say("drift.alike"))
	}
}

func (v driftView) renderStep(w io.Writer) {
	if v.at.Steps == nil {
		fmt.Fprintf(w, "  not looked for: %s\n", show.Says(v.at.StepsRefused))
		return
	}
	words := map[drift.Model]string{
		drift.Steady: "none, and no drift", drift.Slope: "none: a steady drift explains the errors",
		drift.SlopeOrStep: "a jump or a drift: these checks cannot tell which",
	}
	s := v.at.Steps.Step
	if s == nil {
		fmt.Fprintf(w, "  %s; looked for at %s, false alarms in at most %s %% of histories\n", words[v.at.Steps.Model], show.Plural(v.at.Steps.Places, "place"), number(100*v.at.Steps.Level))
		return
	}
	known := "standard uncertainty " + v.value(s.SizeError)
	if s.Exact {
		known = "exact: the errors have no other scatter"
	}
	fmt.Fprintf(w, "  %s The trend counts it as a change of level.\n  jump: %s, %s\n", v.jump(s), v.signed(s.Size), known)
	if s.Exact {
		return
	}
	fmt.Fprintf(w, "  F %s, limit %s, at the best of %s; false alarms in at most %s %% of histories\n", number(s.F), number(s.Limit), show.Plural(s.Places, "place"), number(100*v.at.Steps.Level))
	if s.EarliestAfter < s.After || s.LatestBefore > s.Before {
		fmt.Fprintf(w, "  it may also lie between %s and %s (95 %%)\n", v.when(s.EarliestTime), v.when(s.LastTime))
	}
}

// jump says when the error jumped and what to ask.
func (v driftView) jump(s *drift.Step) string {
	return show.Say("drift.step", v.when(s.AfterTime), v.when(s.BeforeTime), v.signed(s.Size))
}

func (v driftView) renderAdvice(w io.Writer) {
	for _, a := range v.Advice {
		next := show.Say("drift.change.check-now")
		if a.Next > 0 {
			whole := number(a.Next)
			if a.Next >= 1 {
				whole = fmt.Sprintf("%.0f", math.Floor(a.Next))
			}
			next = fmt.Sprintf("%s %s (%s)", whole, a.Unit, a.Change)
			switch {
			case a.Unit == drift.InDays && v.clock.numeric():
				next = fmt.Sprintf("%s (%s), by %s", number(a.Next), a.Change, v.clock.written(v.clock.number(v.since())+a.Next, v.every()))
			case a.Unit == drift.InDays:
				next += ", by " + day(v.since().AddDate(0, 0, int(a.Next)))
			}
		}
		decides := ""
		if len(v.Points) > 1 {
			decides = "; " + a.Point + " decides"
		}
		fmt.Fprintf(w, "  %s: %s%s\n", a.Method, next, decides)
		for _, reason := range a.Reasons {
			fmt.Fprintf(w, "    - %s\n", show.Says(reason))
		}
	}
	for _, refused := range v.AdviceRefused {
		fmt.Fprintf(w, "  none %s\n", show.Says(refused))
	}
}
