package drift

import (
	"errors"
	"fmt"
	"math"
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
	Unit    string   `json:"unit"` // InDays or InUses
	Method  string   `json:"method"`
	Change  Change   `json:"change"`
	Next    float64  `json:"next"` // interval, in days or uses
	Reasons []string `json:"reasons"`
	// Observed is the interval so far that the method goes by: the last one for the
	// staircase, the longest one for the control chart.
	Observed float64 `json:"observed"`
	// Point decides the advice: of all points its check is due first. Empty where the
	// points have no names.
	Point string `json:"point,omitempty"`
}

// Keep makes an advice to extend one to keep the interval observed, and leaves
// every other one as it is.
func (a *Advice) Keep(why string) {
	if a.Change == Extended {
		a.Change, a.Next, a.Reasons = Kept, a.Observed, append(a.Reasons, "but "+why)
	}
}

// atMost cuts an advice to a longest interval, and says why.
func (a *Advice) atMost(most float64, why string) {
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
	size, found := math.Abs(c.Found), "the error as found"
	if c.Left != nil && math.Abs(*c.Left) > size {
		size, found = math.Abs(*c.Left), "the error as left"
	}
	u := r.Coverage * math.Hypot(c.Uncertainty, c.Shared)
	switch {
	case size > mpe:
		a.Change, a.Next = Reduced, interval*r.Reduce
		a.Reasons = append(a.Reasons, found+" is outside the limit")
	case c.Verdict == Failed:
		a.Change, a.Next = Reduced, interval*r.Reduce
		a.Reasons = append(a.Reasons, "a check failed after that interval")
	case size+u <= r.Within*mpe:
		a.Change, a.Next = Extended, interval*r.Extend
		a.Reasons = append(a.Reasons, fmt.Sprintf("%s%s is within %.0f %% of the limit", found, with(u), 100*r.Within))
	default:
		a.Change, a.Next = Kept, interval
		a.Reasons = append(a.Reasons, fmt.Sprintf("%s is inside the limit, but%s not within %.0f %% of it", found, with(u), 100*r.Within))
	}
	if u == 0 {
		a.Reasons = append(a.Reasons, "the uncertainty of the check is not stated and counts as 0")
	}
	return a, nil
}

func with(u float64) string {
	if u > 0 {
		return " with its uncertainty"
	}
	return ""
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
	band := fmt.Sprintf("the band in which one further check is expected (%.0f %%)", 100*r.Trust)
	switch {
	case a.Next < r.Shortest*observed:
		a.Change, a.Next = Now, 0
		a.Reasons = append(a.Reasons, band+" is across the limit already, or nearly: drift and scatter leave no useful interval; adjust or repair the gauge, or use it for a wider limit")
	case a.Next >= most:
		a.Change = Extended
		a.Reasons = append(a.Reasons, band+" stays inside the limit", fmt.Sprintf("more than %g times the longest interval observed is not advised: nothing is known beyond", r.Longest))
	case a.Next > observed:
		a.Change = Extended
		a.Reasons = append(a.Reasons, band+" comes to the limit later than the longest interval observed")
	default:
		a.Change = Reduced
		a.Reasons = append(a.Reasons, band+" comes to the limit sooner than the longest interval observed")
	}
	if !l.Significant(r.Trust) {
		a.Reasons = append(a.Reasons, "the rate is not significant: the width of the band comes from the scatter and from how little is known of the rate")
	}
	return a, nil
}

func usable(interval, mpe float64) error {
	switch {
	case !(interval > 0) || !finite(interval):
		return errors.New("an interval is advised from two checks on: there is no interval between the checks yet")
	case !(mpe > 0) || !finite(mpe):
		return errors.New("an interval is advised for a limit: give the maximum permissible error, above 0")
	}
	return nil
}

// noEnd is why there is no advice where only zero returns were made.
const noEnd = "in days: no check ended an interval yet"

// axis is what a history is along days or along uses.
type axis struct {
	unit    string
	rate    *Rate
	unknown string  // why there is no rate
	last    float64 // the last interval
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
		a.atMost(rule.Longest*x.usual, fmt.Sprintf("more than %g times the usual interval of late is not advised", rule.Longest))
	}
	if x.rate == nil || x.rate.Reach == nil || !x.rate.Reach.Significant {
		return a
	}
	const early = "the line may be at the limit then: the 95 % interval of it begins there"
	if a.atMost(x.rate.Reach.Early-x.now, early); a.Next < rule.Shortest*a.Observed && a.Change == Reduced {
		a.Change, a.Next = Now, 0
	}
	return a
}

// advise asks both methods at this point, by days and, where they are counted, by
// uses; refused says why a method gives no advice.
func (r *Review) advise(e ends, rule IntervalRule) {
	if e.Checks == 0 {
		r.AdviceRefused = []string{noEnd}
		return
	}
	for _, x := range r.axes(e) {
		take := func(a Advice, err error) {
			if err != nil {
				r.AdviceRefused = append(r.AdviceRefused, fmt.Sprintf("in %s: %v", x.unit, err))
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
			take(Advice{}, errors.New("control chart: "+x.unknown))
		default:
			take(rule.ControlChart(x.rate.Line, x.now, x.longest, r.MPE))
		}
	}
}

// Why no interval is extended.
const (
	UnnotedStep   = "a step was found that nobody noted: the interval is not extended before its cause is known"
	StepOrRate    = "a step or a rate: these checks do not tell, and the interval is not extended before it is known"
	ChartPoints   = "a control chart points at the last check: the interval is not extended before its cause is known"
	LeftEqual     = "an error differs from those before it, which were all equal: the interval is not extended before its cause is known; where it is one step of the display, state that step"
	LastFailed    = "the last check failed: it extends no interval"
	FailedBefore  = "a check of the same occasion failed before one passed: the interval is not extended by it"
	NotPassed     = "a check failed, and none passed since: no interval is extended"
	LeftBeyond    = "the gauge was left beyond its limit: no interval is extended"
	LineBeyond    = "the line of the errors is beyond the limit: no interval is extended"
	LastUndecided = "the last check is undecided: it extends no interval"
)

// holds says why no interval is extended by what this point shows; empty: nothing is
// against it. The last occasion counts, a zero return that failed among them, and what its
// newest check left open.
func (r *Review) holds(last occasion, checks []Check, o Options) string {
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
	return ""
}
