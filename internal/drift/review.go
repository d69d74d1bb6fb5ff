package drift

import (
	"errors"
	"fmt"
	"time"
)

// Confidence is that of the intervals in a review.
const Confidence = 0.95

// Options are what a review needs to know beside the checks.
type Options struct {
	MPE       float64 // maximum permissible error, either side, in the unit of the errors; 0: not given
	Deviation float64 // stated standard deviation of the gauge's repeats, in the unit of the errors; 0: not stated
	Charts    ChartSettings
	Quick     bool // leave out the run lengths of the charts, which take long to compute
	Rule      IntervalRule
}

// Review is everything that this package says about the checks of a gauge.
// Where a part is missing, its refusal says why.
type Review struct {
	Checks      int       `json:"checks"`
	Adjustments int       `json:"adjustments"`
	From        time.Time `json:"from"`
	To          time.Time `json:"to"`
	MPE         float64   `json:"maximumPermissibleError,omitempty"`

	Steps        *Steps `json:"steps,omitempty"`
	StepsRefused string `json:"stepsRefused,omitempty"`

	ByTime        *Rate  `json:"byTime,omitempty"` // per day
	ByTimeRefused string `json:"byTimeRefused,omitempty"`
	ByUse         *Rate  `json:"byUse,omitempty"`
	ByUseRefused  string `json:"byUseRefused,omitempty"`

	Charts         *Charts  `json:"charts,omitempty"`
	ChartsRefused  string   `json:"chartsRefused,omitempty"`
	Spreads        *Spreads `json:"spreads,omitempty"`
	SpreadsRefused string   `json:"spreadsRefused,omitempty"`
	Noise          []string `json:"noise,omitempty"` // in words: what scatters too much to say anything

	Advice        []Advice `json:"advice,omitempty"`
	AdviceRefused []string `json:"adviceRefused,omitempty"`
}

// Rate is a trend with what follows from it at the last check.
type Rate struct {
	Line        `json:"line"`
	Low         float64 `json:"low"` // of the confidence interval of the rate
	High        float64 `json:"high"`
	Significant bool    `json:"significant"`
	Last        float64 `json:"last"` // check, in days or uses
	Now         float64 `json:"now"`
	NowError    float64 `json:"nowStandardUncertainty"`
	Reach       *Reach  `json:"reach,omitempty"` // with a limit
	Far         bool    `json:"far"`             // the limit is further away than the checks reach back
}

// NewReview reviews checks in the order of time. A wrong check is an error
// that says which.
func NewReview(checks []Check, o Options) (*Review, error) {
	if len(checks) == 0 {
		return nil, errors.New("there are no checks")
	}
	if o.MPE < 0 || !finite(o.MPE) {
		return nil, fmt.Errorf("the maximum permissible error %g is below 0 or not a number", o.MPE)
	}
	r := &Review{Checks: len(checks), From: checks[0].Time, To: checks[len(checks)-1].Time, MPE: o.MPE}
	var h History
	for i, c := range checks {
		if err := h.Add(c); err != nil {
			return nil, fmt.Errorf("check %d: %w", i+1, err)
		}
		if c.Left != nil {
			r.Adjustments++
		}
	}
	steps, err := FindStep(checks)
	if r.StepsRefused = text(err); err == nil {
		r.Steps = &steps
		if steps.Step != nil {
			h = broken(checks, steps.Step.Before)
		}
	}
	last := Days(h.Origin, h.Last.Time)
	r.ByTime, r.ByTimeRefused = rateOf(&h.ByTime, 0, last, o.MPE)
	if h.Counted() {
		r.ByUse, r.ByUseRefused = rateOf(&h.ByUse, checks[0].Uses, h.Last.Uses, o.MPE)
	} else {
		r.ByUseRefused = "not every check has its count of uses"
	}
	if err := r.control(checks, o); err != nil {
		return nil, err
	}
	r.spreads(checks, o.Charts.Series)
	r.noise(o)
	r.advise(&h, o)
	return r, nil
}

// RateByTime is the rate of a history, in days, with the date at which an error of
// mpe is reached when mpe is above 0. Without a rate it says why.
func (h *History) RateByTime(mpe float64) (*Rate, string) {
	if h.Checks == 0 {
		return nil, "there are no checks"
	}
	return rateOf(&h.ByTime, 0, Days(h.Origin, h.Last.Time), mpe)
}

// broken is the history with a step before a check taken as a change of level.
func broken(checks []Check, before int) (h History) {
	for i, c := range checks {
		if i == before-1 {
			h.Break()
		}
		_ = h.Add(c) // was valid before
	}
	return h
}

func text(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

func rateOf(t *Trend, from, at, mpe float64) (*Rate, string) {
	l, err := t.Line()
	if err != nil {
		return nil, err.Error()
	}
	r := &Rate{Line: l, Significant: l.Significant(Confidence), Last: at}
	r.Low, r.High = l.RateInterval(Confidence)
	r.Now, r.NowError = l.At(at)
	if mpe > 0 {
		reach := l.Reaches(mpe, at, Confidence)
		r.Reach, r.Far = &reach, reach.Significant && reach.X-at > at-from
	}
	return r, ""
}

// UnnotedStep is why no interval is extended after a step.
const UnnotedStep = "but a step was found that nobody noted: the interval is not extended before its cause is known"

// advise asks both methods, by days and by uses.
func (r *Review) advise(h *History, o Options) {
	rule := o.Rule
	if rule == (IntervalRule{}) {
		rule = UsualRule()
	}
	r.Advice, r.AdviceRefused = h.Advise(rule, o.MPE)
	if r.Steps == nil || r.Steps.Step == nil {
		return
	}
	for i := range r.Advice {
		r.Advice[i].Keep(UnnotedStep)
	}
}
