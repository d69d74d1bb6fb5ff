package jobs

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// Inside, lengths are in micrometres and times in days, so that all numbers of
// a filter are of like size.
const micro = 1e6

// observation is a residual or a master check.
type observation struct {
	at           float64 // days since the origin
	gauge        []int   // of the group
	coefficient  []float64
	uses         []int
	value, sigma float64
	anchor       bool
	restart      bool
}

// epoch is a day with data, or a part of one that ends where a gauge restarts.
type epoch struct {
	at           float64 // of its last observation
	observations []observation
	restart      int       // gauge that restarts at its begin; -1 none
	uses         []float64 // of each gauge
}

// group is one filter: its gauges, its data, and what it found.
type group struct {
	model  Model // in micrometres and days
	gauges []string
	epochs []epoch
	states []state // one for each epoch
	wander float64 // of its gauges, as a multiple of the model's
	faults []fault
	alarms []alarm

	limit, checkLimit float64 // of the cumulative sums, and of a single master check; each may cause half the false alarms
}

// newGroup sorts the data of a cluster into epochs that end at until.
func newGroup(m Model, c cluster, residuals []Residual, anchors map[string][]Anchor, origin, until time.Time) *group {
	g := &group{model: m.scaled(), wander: 1, limit: cusumLimit(2 * m.Quiet), checkLimit: math.Sqrt2 * math.Erfinv(1-1/(2*m.Quiet))}
	index := map[string]int{}
	for name := range c.gauges {
		g.gauges = append(g.gauges, name)
	}
	slices.Sort(g.gauges)
	var all []observation
	for i, name := range g.gauges {
		index[name] = i
		for _, a := range anchors[name] {
			all = append(all, observation{
				at: days(a.Time, origin), gauge: []int{i}, coefficient: []float64{1}, uses: []int{0},
				value: a.Error * micro, sigma: a.Sigma * micro, anchor: true, restart: a.Restart,
			})
		}
	}
	for _, i := range c.residuals {
		r := residuals[i]
		o := observation{at: days(r.Time, origin), value: r.Value * micro, sigma: r.Sigma * micro}
		for _, t := range r.Terms {
			o.gauge = append(o.gauge, index[t.Gauge])
			o.coefficient = append(o.coefficient, t.Coefficient)
			o.uses = append(o.uses, t.Uses)
		}
		all = append(all, o)
	}
	slices.SortStableFunc(all, func(a, b observation) int { return cmp.Compare(a.at, b.at) })
	g.split(all, days(until, origin))
	return g
}

func (g *group) split(all []observation, until float64) {
	add := func(at float64, restart int) *epoch {
		g.epochs = append(g.epochs, epoch{at: at, restart: restart, uses: make([]float64, len(g.gauges))})
		return &g.epochs[len(g.epochs)-1]
	}
	var now *epoch
	for _, o := range all {
		switch {
		case o.restart:
			now = add(o.at, o.gauge[0])
		case now == nil || math.Floor(o.at) > math.Floor(now.at):
			now = add(o.at, -1)
		}
		now.at = o.at
		now.observations = append(now.observations, o)
		for i, k := range o.gauge {
			now.uses[k] += float64(o.uses[i])
		}
	}
	if now == nil || until > now.at {
		add(until, -1)
	}
	g.states = make([]state, len(g.epochs))
}

func days(t, origin time.Time) float64 { return t.Sub(origin).Hours() / 24 }

func (m Model) scaled() Model {
	for _, v := range []*float64{&m.Start, &m.Rate, &m.Wander, &m.WearPerUse, &m.RateWander, &m.FaultStep, &m.FaultRate} {
		*v *= micro
	}
	return m
}
