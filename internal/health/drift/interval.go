package drift

import (
	"fmt"
	"math"

	"gauged/internal/gauge"
)

// IntervalRule is how an interval between checks is advised. ILAC-G24 / OIML D 10
// (2022), 6.2 to 6.4, names the methods and leaves the numbers open but for the
// 80 %, which it gives as an example (its wording from memory): the others are
// ours. Intervals are in days or in uses.
type IntervalRule struct {
	Extend   float64 // factor of an interval that proved short
	Reduce   float64 // factor of an interval that proved long
	Within   float64 // part of the limit inside which an interval is extended
	Coverage float64 // of the uncertainty of the error as found
	Longest  float64 // times the usual interval of late, which no advice exceeds, and times the longest one, which that by the trend never exceeds
	Shortest float64 // part of the interval observed, below which the advice is to look at the gauge instead
	Trust    float64 // confidence of the prediction band
}

// UsualRule is the rule that is used where nothing else is asked for.
func UsualRule() IntervalRule {
	return IntervalRule{Extend: 1.25, Reduce: 0.7, Within: 0.8, Coverage: 2, Longest: 2, Shortest: 0.1, Trust: 0.95}
}

// The units of intervals.
const (
	InDays = "days"
	InUses = "uses"
)

// Change is what an advice does to the interval.
type Change string

// The methods of ILAC-G24 / OIML D 10.
const (
	StaircaseMethod    = "automatic adjustment (staircase)"
	ControlChartMethod = "control chart (drift and dispersion)"
)

// The changes.
const (
	Extended Change = "extend"
	Kept     Change = "keep"
	Reduced  Change = "reduce"
	Now      Change = "check now" // and look at the gauge: no interval helps
)

// Advice is the next interval by one method, with its reasons in words.
type Advice struct {
	Unit    string          `json:"unit"` // InDays or InUses
	Method  string          `json:"method"`
	Change  Change          `json:"change"`
	Next    float64         `json:"next"` // interval, in days or uses
	Reasons []gauge.Message `json:"reasons"`
	// Observed is the interval so far that the method goes by: the last one for the
	// staircase, the longest one for the control chart.
	Observed float64 `json:"observed"`
	// Point decides the advice: of all points its check is due first. Empty where the
	// points have no names.
	Point string `json:"point,omitempty"`
}

// Keep makes an advice to extend one to keep the interval observed, and leaves
// every other one as it is.
func (a *Advice) Keep(why gauge.Message) {
	if a.Change == Extended {
		a.Change, a.Next, a.Reasons = Kept, a.Observed, append(a.Reasons, gauge.Say("advice.but", gauge.Nested("why", why)))
	}
}

// atMost cuts an advice to a longest interval, and says why.
func (a *Advice) atMost(most float64, why gauge.Message) {
	if a.Change == Now || a.Next <= most {
		return
	}
	a.Next, a.Reasons = most, append(a.Reasons, why)
	switch {
	case most > a.Observed:
		a.Change = Extended
	case most == a.Observed:
		a.Change = Kept
	default:
		a.Change = Reduced
	}
}

// Staircase is method 1, automatic adjustment (ILAC-G24 / OIML D 10, 6.2; in
// uses: 6.4): the interval that led to c is extended when the error as found,
// with its expanded uncertainty, is well inside the limit, reduced when the
// error is outside, and else kept.
func (r IntervalRule) Staircase(c Check, interval, mpe float64) (Advice, error) {
	if err := usable(interval, mpe); err != nil {
		return Advice{}, err
	}
	a := Advice{Method: StaircaseMethod, Observed: interval}
	size, found := math.Abs(c.Found), "advice.as_found"
	if c.Left != nil && math.Abs(*c.Left) > size {
		size, found = math.Abs(*c.Left), "advice.as_left"
	}
	u := r.Coverage * math.Hypot(c.Uncertainty, c.Shared)
	switch {
	case size > mpe:
		a.Change, a.Next = Reduced, interval*r.Reduce
		a.Reasons = append(a.Reasons, gauge.Say("advice.outside", gauge.Word("error", found)))
	case c.Verdict == Failed:
		a.Change, a.Next = Reduced, interval*r.Reduce
		a.Reasons = append(a.Reasons, gauge.Say("advice.failed"))
	case size+u <= r.Within*mpe:
		a.Change, a.Next = Extended, interval*r.Extend
		a.Reasons = append(a.Reasons, well("advice.well_inside", found, u, r.Within))
	default:
		a.Change, a.Next = Kept, interval
		a.Reasons = append(a.Reasons, well("advice.inside", found, u, r.Within))
	}
	if u == 0 {
		a.Reasons = append(a.Reasons, gauge.Say("advice.unstated"))
	}
	return a, nil
}

// well says how far inside an error is, with its uncertainty where there is one.
func well(code, found string, u, within float64) gauge.Message {
	args := []gauge.Arg{gauge.Word("error", found), percent("percent", within)}
	if u > 0 {
		args = append(args, gauge.Word("with", "advice.with_uncertainty"))
	}
	return gauge.Say(code, args...)
}

// percent is a share in whole percent.
func percent(name string, share float64) gauge.Arg {
	return gauge.Shown(name, fmt.Sprintf("%.0f", 100*share), gauge.UnitUnknown)
}

// times is a factor.
func times(factor float64) gauge.Arg {
	return gauge.Shown("times", fmt.Sprintf("%g", factor), gauge.UnitUnknown)
}

// ControlChart is method 2 (ILAC-G24 / OIML D 10, 6.3; in uses: 6.4): from
// drift and dispersion, the interval after which a further check is still
// expected inside the limit. from is the last check on the line's axis,
// observed the longest interval there was.
func (r IntervalRule) ControlChart(l Line, from, observed, mpe float64) (Advice, error) {
	if err := usable(observed, mpe); err != nil {
		return Advice{}, err
	}
	a := Advice{Method: ControlChartMethod, Observed: observed}
	most := r.Longest * observed
	a.Next = l.Leaves(mpe, from, from+most, r.Trust) - from
	trust := percent("trust", r.Trust)
	switch {
	case a.Next < r.Shortest*observed:
		a.Change, a.Next = Now, 0
		a.Reasons = append(a.Reasons, gauge.Say("advice.band_across", trust))
	case a.Next >= most:
		a.Change = Extended
		a.Reasons = append(a.Reasons, gauge.Say("advice.band_inside", trust), gauge.Say("advice.most_observed", times(r.Longest)))
	case a.Next > observed:
		a.Change = Extended
		a.Reasons = append(a.Reasons, gauge.Say("advice.band_later", trust))
	default:
		a.Change = Reduced
		a.Reasons = append(a.Reasons, gauge.Say("advice.band_sooner", trust))
	}
	if !l.Significant(r.Trust) {
		a.Reasons = append(a.Reasons, gauge.Say("advice.insignificant"))
	}
	return a, nil
}

func usable(interval, mpe float64) error {
	switch {
	case !(interval > 0) || !finite(interval):
		return gauge.Refused("advice.one_check")
	case !(mpe > 0) || !finite(mpe):
		return gauge.Refused("advice.no_limit")
	}
	return nil
}

// noEnd is why there is no advice where only zero returns were made.
var noEnd = gauge.Say("advice.no_end")

// unitWords are the units of intervals in a sentence.
var unitWords = map[string]string{InDays: "advice.in_days", InUses: "advice.in_uses"}

// axis is what a history is along days or along uses.
type axis struct {
	unit    string
	rate    *Rate
	unknown gauge.Message // why there is no rate
	last    float64       // the last interval
	longest float64
	usual   float64 // of late; 0: not known
	now     float64 // where the last interval ended
}

// axes are the days and, where they are counted, the uses; the intervals are those
// between the checks that end one.
func (r *Review) axes(e ends) []axis {
	all := []axis{{InDays, r.ByTime, r.ByTimeRefused, e.LastGap, e.Longest, e.usual, Days(r.From, e.Last.Time)}}
	if e.Counted() {
		all = append(all, axis{InUses, r.ByUse, r.ByUseRefused, e.UseGap, e.MostUses, e.usualUses, e.Last.Uses})
	}
	return all
}

// within cuts an advice to what the interval is usually, and to where the line may be at the
// limit.
func (x axis) within(a Advice, rule IntervalRule) Advice {
	if x.usual > 0 {
		a.atMost(rule.Longest*x.usual, gauge.Say("advice.most_usual", times(rule.Longest)))
	}
	if x.rate == nil || x.rate.Reach == nil || !x.rate.Reach.Significant {
		return a
	}
	if a.atMost(x.rate.Reach.Early-x.now, gauge.Say("advice.line_early")); a.Next < rule.Shortest*a.Observed && a.Change == Reduced {
		a.Change, a.Next = Now, 0
	}
	return a
}

// advise asks both methods at this point, by days and, where they are counted, by
// uses; refused says why a method gives no advice.
func (r *Review) advise(e ends, rule IntervalRule) {
	if e.Checks == 0 {
		r.AdviceRefused = []gauge.Message{noEnd}
		return
	}
	for _, x := range r.axes(e) {
		take := func(a Advice, err error) {
			if err != nil {
				r.AdviceRefused = append(r.AdviceRefused, gauge.Say("advice.in_unit", gauge.Word("unit", unitWords[x.unit]), gauge.Because("why", err)))
				return
			}
			a.Unit, a.Point = x.unit, r.Point
			r.Advice = append(r.Advice, x.within(a, rule))
		}
		a, err := rule.Staircase(e.Last, x.last, r.MPE)
		take(a, err)
		switch {
		case err != nil: // the other method would say the same
		case x.rate == nil:
			take(Advice{}, gauge.Refused("advice.no_rate", gauge.Nested("why", x.unknown)))
		default:
			take(rule.ControlChart(x.rate.Line, x.now, x.longest, r.MPE))
		}
	}
}

// Why no interval is extended.
var (
	UnnotedStep   = gauge.Say("hold.unnoted_step")
	StepOrRate    = gauge.Say("hold.step_or_rate")
	ChartPoints   = gauge.Say("hold.chart_points")
	LeftEqual     = gauge.Say("hold.left_equal")
	LastFailed    = gauge.Say("hold.last_failed")
	FailedBefore  = gauge.Say("hold.failed_before")
	NotPassed     = gauge.Say("hold.not_passed")
	LeftBeyond    = gauge.Say("hold.left_beyond")
	LineBeyond    = gauge.Say("hold.line_beyond")
	LastUndecided = gauge.Say("hold.last_undecided")
)

// holds says why no interval is extended by what this point shows; empty: nothing is
// against it. The last occasion counts, a zero return that failed among them, and what its
// newest check left open.
func (r *Review) holds(last occasion, checks []Check, o Options) gauge.Message {
	newest := checks[len(checks)-1]
	switch {
	case last.Verdict == Failed, last.Verdict == "" && last.failed(o):
		return LastFailed
	case last.failed(o):
		return FailedBefore
	case newest.leftBeyond(o):
		return LeftBeyond
	case failing(checks, o):
		return NotPassed
	case newest.Verdict == Undecided && !newest.Aside: // one reading at zero decides nothing
		return LastUndecided
	case r.Steps != nil && r.Steps.Step != nil:
		return UnnotedStep
	case r.Steps != nil && r.Steps.Model == SlopeOrStep:
		return StepOrRate
	case r.Pointed():
		return ChartPoints
	case r.ByTime != nil && r.ByTime.Reach != nil && r.ByTime.Reach.Outside:
		return LineBeyond
	case r.broke:
		return LeftEqual
	}
	return gauge.Message{}
}
