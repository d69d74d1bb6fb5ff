package drift

import (
	"math"
	"slices"
	"time"

	"gauged/internal/gauge"
)

// Series is the checks of a gauge at one point: at one master, approached from one
// side.
type Series struct {
	Point  string // empty where the points have no names
	Checks []Check
	Origin float64 // of the errors, as in Options
}

// Gauge is the review of a gauge, point by point. The worst decides: a mean over
// points decides nothing.
type Gauge struct {
	Points  []*Review `json:"points"`
	Decides int       `json:"decides"` // index of the point that comes to the limit first, or is nearest to it

	// Advice is the next interval: that of the point whose check is due first, counted
	// from the last check of the gauge.
	Advice        []Advice        `json:"advice,omitempty"`
	AdviceRefused []gauge.Message `json:"advice_refused,omitempty"`
}

// leftOutAfter is after how many occasions without a point it no longer decides: its
// master is no longer in use. The number is ours.
const leftOutAfter = 3

// NewGauge reviews each point and lets the worst decide. The order of the points
// stays.
func NewGauge(series []Series, o Options) (*Gauge, error) {
	g := &Gauge{}
	o.Charts.Series = len(series)
	for _, s := range series {
		o.Origin = s.Origin
		r, err := NewReview(s.Checks, o)
		if err != nil {
			if s.Point != "" {
				err = gauge.At(err, "refusal.drift.at-point", gauge.Text("point", s.Point))
			}
			return nil, err
		}
		r.Point = s.Point
		for i := range r.Advice {
			r.Advice[i].Point = s.Point
		}
		g.Points = append(g.Points, r)
	}
	if len(g.Points) == 0 {
		return nil, noChecks()
	}
	lasts := OccasionLasts
	if o.Lasts != nil {
		lasts = *o.Lasts
	}
	g.leaveOut(series, lasts, o)
	g.decide()
	g.advise(series)
	return g, nil
}

// Worst is the review of the point that decides.
func (g *Gauge) Worst() *Review { return g.Points[g.Decides] }

// Date is the time that lies days after the first check.
func (r *Review) Date(days float64) time.Time { return Date(r.From, days) }

// ChartNow says which charts point at the last check of a point; nil before there is
// a baseline.
func (g *Gauge) ChartNow() (now map[string]bool) {
	for _, r := range g.Points {
		for chart, points := range r.ChartNow() {
			if now == nil {
				now = map[string]bool{}
			}
			now[chart] = now[chart] || points && !r.LeftOut
		}
	}
	return now
}

// leaveOut finds the points that the last occasions were without. One that failed and did
// not pass since is not shed by leaving it out.
func (g *Gauge) leaveOut(series []Series, lasts time.Duration, by Options) {
	var all []Check
	for _, s := range series {
		for _, c := range s.Checks {
			if !c.Aside {
				all = append(all, Check{Time: c.Time})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b Check) int { return a.Time.Compare(b.Time) })
	occasions := occasionsOf(all, lasts)
	for i, r := range g.Points {
		without := 0
		for _, o := range occasions {
			if o.Time.After(r.To) {
				without++
			}
		}
		by.Origin = series[i].Origin
		r.LeftOut = without >= leftOutAfter && !failing(series[i].Checks, by)
	}
}

// decide finds the point that comes to the limit first; without any that does, the
// one that is nearest to it.
func (g *Gauge) decide() {
	first, largest := math.Inf(1), math.Inf(-1)
	for i, r := range g.Points {
		at, size := r.limitAt(), r.size()
		if !r.LeftOut && (at < first || at == first && size > largest) {
			first, largest, g.Decides = at, size, i
		}
	}
}

// limitAt is the second at which the limit may be reached first; without a date
// infinite, and past all dates where the line is beyond the limit already.
func (r *Review) limitAt() float64 {
	switch t := r.ByTime; {
	case t == nil || t.Reach == nil:
		return math.Inf(1)
	case t.Reach.Outside:
		return -math.Abs(t.Now)
	case !t.Reach.Significant:
		return math.Inf(1)
	default:
		return float64(r.From.Unix()) + t.Reach.Early*24*3600
	}
}

// size is how large the error is now, with its uncertainty, and above all else when
// the last check did not pass.
func (r *Review) size() float64 {
	size := math.Abs(r.Found)
	if t := r.ByTime; t != nil {
		size = max(size, math.Abs(t.Now)+UsualRule().Coverage*t.NowError)
	}
	switch r.Verdict {
	case Failed:
		return size * 1e6
	case Undecided:
		return size * 1e3
	}
	return size
}

// advise takes of each method the advice of the point whose check is due first. What
// one point holds against an extension holds for the gauge.
func (g *Gauge) advise(series []Series) {
	var last Check // of the gauge
	var hold gauge.Message
	refused := refusals{}
	for i, r := range g.Points {
		if end := lastEnd(series[i].Checks); !end.Time.Before(last.Time) {
			last.Time, last.Uses = end.Time, max(last.Uses, end.Uses)
		}
		if r.LeftOut {
			continue
		}
		if hold.IsZero() && !r.Holds.IsZero() {
			hold = at(r.Point, r.Holds)
		}
		refused.add(r)
	}
	for i := range g.Points {
		i = (g.Decides + i) % len(g.Points) // of two that are due alike the one that decides
		r := g.Points[i]
		if r.LeftOut {
			continue
		}
		end := lastEnd(series[i].Checks)
		lag := map[string]float64{InDays: Days(end.Time, last.Time), InUses: last.Uses - end.Uses}
		for _, a := range r.Advice {
			if !hold.Equal(r.Holds) && !hold.IsZero() {
				a.Reasons = slices.Clone(a.Reasons)
				a.Keep(hold)
			}
			g.earliest(a.after(lag[a.Unit]))
		}
	}
	if len(g.Advice) > 0 {
		delete(refused.points, noEnd.String()) // such as of a master of zero returns alone
	}
	g.AdviceRefused = refused.texts(len(g.Points))
}

// after is the advice when so much of the interval is over.
func (a Advice) after(lag float64) Advice {
	if a.Change == Now || lag == 0 {
		return a
	}
	if a.Next -= lag; a.Next <= 0 {
		a.Change, a.Next = Now, 0
		a.Reasons = append(slices.Clone(a.Reasons), gauge.Say("advice.left_out"))
	}
	return a
}

// refusals are the points for each reason why there is no advice.
type refusals struct {
	whys   []gauge.Message
	points map[string][]string // by the reason as text
}

func (r *refusals) add(review *Review) {
	for _, why := range review.AdviceRefused {
		if r.points[why.String()] == nil {
			r.whys = append(r.whys, why)
		}
		if r.points == nil {
			r.points = map[string][]string{}
		}
		r.points[why.String()] = append(r.points[why.String()], review.Point)
	}
}

// texts names the points, unless a reason is that of all of them.
func (r *refusals) texts(all int) (texts []gauge.Message) {
	for _, why := range r.whys {
		switch points := r.points[why.String()]; {
		case len(points) == 0:
			continue
		case len(points) < all:
			why = gauge.Say("advice.at_points", gauge.Texts("points", points), gauge.Nested("why", why))
		}
		texts = append(texts, why)
	}
	return texts
}

// earliest takes an advice where it comes sooner than that by the same method.
func (g *Gauge) earliest(a Advice) {
	i := slices.IndexFunc(g.Advice, func(b Advice) bool { return b.Unit == a.Unit && b.Method == a.Method })
	switch {
	case i < 0:
		g.Advice = append(g.Advice, a)
	case a.Next < g.Advice[i].Next:
		g.Advice[i] = a
	}
}

// lastEnd is the last check that ended an interval; there is one where there is
// advice.
func lastEnd(checks []Check) (last Check) {
	for _, c := range checks {
		if !c.Aside {
			last = c
		}
	}
	return last
}

// at names the point of a text, where points have names.
func at(point string, why gauge.Message) gauge.Message {
	if point == "" {
		return why
	}
	return gauge.Say("advice.at", gauge.Text("point", point), gauge.Nested("why", why))
}
