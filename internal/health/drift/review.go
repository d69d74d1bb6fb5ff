package drift

import (
	"math"
	"time"

	"gauged/internal/gauge"
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
	Lasts     *time.Duration // how long an occasion lasts; nil: OccasionLasts

	// Origin is what the errors of the checks count from, where they are far from
	// zero and close together: subtracted exactly before they became floats, no digits
	// are lost. What is shown has it added.
	Origin float64
}

// Review is everything that this package says about the checks of a gauge at one
// point. Where a part is missing, its refusal says why.
type Review struct {
	Point       string    `json:"point,omitempty"`
	Checks      int       `json:"checks"`
	Occasions   int       `json:"occasions"` // checks of one occasion are one point in time
	Adjustments int       `json:"adjustments"`
	From        time.Time `json:"from"`
	To          time.Time `json:"to"`
	MPE         float64   `json:"maximum_permissible_error,omitempty"`
	LeftOut     bool      `json:"left_out,omitempty"` // the last occasions were without this point: it decides nothing
	Found       float64   `json:"found"`              // at the last occasion, the mean of its checks
	Verdict     Verdict   `json:"verdict,omitempty"`  // of its newest check that decides
	Last        float64   `json:"last"`               // error that the last check found
	LastError   float64   `json:"last_standard_uncertainty,omitempty"`
	LastAround  float64   `json:"last_expanded_uncertainty,omitempty"` // of that check itself
	Beyond      *Beyond   `json:"beyond,omitempty"`                    // nil: the last check did not leave the error beyond the limit

	Repeated     *Repeated     `json:"repeated,omitempty"` // scatter of the checks of one occasion
	Steps        *Steps        `json:"steps,omitempty"`
	StepsRefused gauge.Message `json:"steps_refused,omitzero"`

	ByTime        *Rate         `json:"by_time,omitempty"` // per day
	ByTimeRefused gauge.Message `json:"by_time_refused,omitzero"`
	ByUse         *Rate         `json:"by_use,omitempty"`
	ByUseRefused  gauge.Message `json:"by_use_refused,omitzero"`
	Correlation   *Correlation  `json:"correlation,omitempty"`

	Charts         *Charts       `json:"charts,omitempty"`
	ChartsRefused  gauge.Message `json:"charts_refused,omitzero"`
	Spreads        *Spreads      `json:"spreads,omitempty"`
	SpreadsRefused gauge.Message `json:"spreads_refused,omitzero"`
	Noise          []Noise       `json:"noise,omitempty"` // what scatters too much

	Advice        []Advice        `json:"advice,omitempty"`
	AdviceRefused []gauge.Message `json:"advice_refused,omitempty"`
	Holds         gauge.Message   `json:"holds,omitzero"` // why no interval is extended

	lastFrom int  // number of the first check of the last occasion, from 1
	broke    bool // an error differs from those before it, which were all equal
}

// Rate is a trend with what follows from it at the last check.
type Rate struct {
	Line        `json:"line"`
	Low         float64       `json:"low"` // of the confidence interval of the rate
	High        float64       `json:"high"`
	Significant bool          `json:"significant"`
	Last        float64       `json:"last"` // check, in days or uses
	Now         float64       `json:"now"`
	NowError    float64       `json:"now_standard_uncertainty"`
	Reach       *Reach        `json:"reach,omitempty"` // with a limit
	Far         bool          `json:"far"`             // the limit is further away than the checks reach back
	Doubt       gauge.Message `json:"doubt,omitzero"`  // why no date is said, though there is a limit
	// Calm: the checks scatter far less than their uncertainties say, which happens
	// once in a hundred histories by chance. A part of them may be the same in all checks.
	Calm bool `json:"calm,omitempty"`
}

// NewReview reviews the checks at one point in the order of time. A wrong check is
// an error that says which.
func NewReview(checks []Check, o Options) (*Review, error) {
	if err := o.valid(checks); err != nil {
		return nil, err
	}
	r := &Review{Checks: len(checks), From: checks[0].Time, To: checks[len(checks)-1].Time, MPE: o.MPE}
	for _, c := range checks {
		if c.Changed() {
			r.Adjustments++
		}
	}
	occasions := occasionsOf(checks, *o.Lasts)
	single := checksOf(occasions)
	last := single[len(single)-1]
	r.Occasions, r.Repeated, r.Found, r.Verdict = len(single), repeatedIn(occasions), last.Found+o.Origin, last.Verdict
	newest := checks[len(checks)-1]
	r.Last, r.LastError, r.LastAround = newest.Found+o.Origin, math.Hypot(newest.Uncertainty, newest.Shared), newest.Around()
	r.trends(single, o)
	if r.Steps != nil && r.Steps.Step != nil {
		r.Steps.Step.number(occasions)
	}
	if err := r.control(occasions, o); err != nil {
		return nil, err
	}
	r.Charts.move(o.Origin)
	r.spreads(checks, o.Charts.Series)
	r.noise(o)
	r.lastFrom = occasions[len(occasions)-1].first
	r.Holds = r.holds(occasions[len(occasions)-1], checks, o)
	r.Beyond = beyondOf(checks, o)
	r.advise(endsOf(occasions, o), o.Rule)
	for i := range r.Advice {
		if !r.Holds.IsZero() {
			r.Advice[i].Keep(r.Holds)
		}
	}
	return r, nil
}

// valid fills in what is usual, and says what is wrong.
func (o *Options) valid(checks []Check) error {
	if len(checks) == 0 {
		return noChecks()
	}
	if o.MPE < 0 || !finite(o.MPE) {
		return gauge.WrongInput("refusal.drift.mpe", given(o.MPE))
	}
	for i, c := range checks {
		var before *Check
		if i > 0 {
			before = &checks[i-1]
		}
		if err := c.Valid(before); err != nil {
			return gauge.At(err, "refusal.drift.at-check", gauge.Count("check", i+1))
		}
	}
	if o.Rule == (IntervalRule{}) {
		o.Rule = UsualRule()
	}
	if o.Lasts == nil {
		lasts := OccasionLasts
		o.Lasts = &lasts
	}
	if k := o.Charts.Known; k != nil && o.Origin != 0 {
		known := *k
		known.Centre -= o.Origin
		o.Charts.Known = &known
	}
	return o.Charts.Valid()
}

// trends looks for a step and says the rate of the occasions, with the step taken
// for a change of level.
func (r *Review) trends(checks []Check, o Options) {
	before := 0
	steps, err := FindStep(checks, o.Charts.Step)
	if r.StepsRefused = why(err); err == nil {
		r.Steps = &steps
		if steps.Step != nil {
			before = steps.Step.Before
		}
	}
	h := broken(checks, before)
	last := Days(h.Origin, h.Last.Time)
	r.ByTime, r.ByTimeRefused = rateOf(&h.ByTime, 0, last, o, h.Last.Shared)
	if h.Counted() {
		r.ByUse, r.ByUseRefused = rateOf(&h.ByUse, checks[0].Uses, h.Last.Uses, o, h.Last.Shared)
	} else {
		r.ByUseRefused = gauge.Say("trend.uses_unknown")
	}
	for _, rate := range []*Rate{r.ByTime, r.ByUse} {
		if r.Steps != nil && rate != nil {
			rate.agree(r.Steps.Model)
		}
	}
	if r.ByTime != nil {
		r.Correlation = correlationOf(brokenRuns(checks, before), r.ByTime.Rate)
	}
}

// agree lets the model answer whether there is a rate, so that the question is asked
// once: a step that explains everything leaves none, and where a step would do as well
// no date is known.
func (r *Rate) agree(m Model) {
	switch {
	case m == StepOnly && r.Significant:
		r.Significant = false
		if r.Reach != nil {
			r.Reach, r.Far = &Reach{Limit: r.Reach.Limit, Outside: r.Reach.Outside}, false
		}
	case m == SlopeOrStep && r.Reach != nil:
		r.Reach, r.Far, r.Doubt = nil, false, gauge.Say("trend.step_or_rate")
	}
}

// number makes the numbers of occasions those of checks.
func (s *Step) number(occasions []occasion) {
	s.After, s.Before = occasions[s.After-1].last, occasions[s.Before-1].first
	s.EarliestAfter, s.LatestBefore = occasions[s.EarliestAfter-1].last, occasions[s.LatestBefore-1].first
}

// move adds an origin to what the charts show.
func (c *Charts) move(origin float64) {
	if c == nil || origin == 0 {
		return
	}
	c.Baseline.Centre += origin
	for i := range c.Charts {
		if s := &c.Charts[i]; s.Name == SingleChart || s.Name == EWMAChart {
			s.Value, s.Low, s.High = s.Value+origin, s.Low+origin, s.High+origin
		}
	}
	for i := range c.Course {
		k := &c.Course[i]
		k.Found += origin
		if k.Judged {
			k.Low, k.High, k.Centre = k.Low+origin, k.High+origin, k.Centre+origin
		}
	}
}

// Pointed reports whether a chart points at the last check.
func (r *Review) Pointed() bool {
	for _, signal := range r.ChartNow() {
		if signal {
			return true
		}
	}
	return false
}

// ChartNow says of the charts which point at the last occasion, that of the spread among
// them; nil while there is nothing to compare it with.
func (r *Review) ChartNow() (now map[string]bool) {
	say := func(chart string, points bool) {
		if now == nil {
			now = map[string]bool{}
		}
		now[chart] = now[chart] || points
	}
	if r.Charts != nil && r.Charts.Course[len(r.Charts.Course)-1].Judged {
		for _, s := range r.Charts.Charts {
			say(s.Name, false)
		}
		for _, s := range r.Charts.Signals {
			say(s.Chart, s.Check >= r.lastFrom)
		}
	}
	if r.Spreads != nil && r.Spreads.Last != nil {
		say(SpreadChart, false)
		for _, s := range r.Spreads.Signals {
			say(s.Chart, s.Check >= r.lastFrom)
		}
	}
	return now
}

// broken is the history with a step before a check taken as a change of level; 0:
// none.
func broken(checks []Check, before int) (h History) {
	for i, c := range checks {
		if i == before-1 {
			h.Break()
		}
		_ = h.Add(c) // was valid before
	}
	return h
}

func why(err error) gauge.Message {
	if err == nil {
		return gauge.Message{}
	}
	return gauge.Told(err)
}

func rateOf(t *Trend, from, at float64, o Options, shared float64) (*Rate, gauge.Message) {
	l, err := t.Line()
	if err != nil {
		return nil, why(err)
	}
	l.Level, l.Shared = l.Level+o.Origin, shared
	r := &Rate{Line: l, Significant: l.Significant(Confidence), Last: at, Calm: t.calm()}
	r.Low, r.High = l.RateInterval(Confidence)
	r.Now, r.NowError = l.At(at)
	if o.MPE > 0 {
		reach := l.Reaches(o.MPE, at, Confidence)
		r.Reach, r.Far = &reach, reach.Significant && reach.X-at > at-from
	}
	return r, gauge.Message{}
}
