package jobs

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"
)

// Estimate finds the errors of all gauges that residuals and anchors name, as
// they are known at the time until. Their order does not matter. It fails when
// an entry cannot be computed with; the error names it by its index.
func Estimate(m Model, residuals []Residual, anchors []Anchor, until time.Time) (Site, error) {
	if err := refuse(m, residuals, anchors, until); err != nil {
		return Site{}, err
	}
	checks := map[string][]Anchor{}
	origin := until
	for _, a := range anchors {
		checks[a.Gauge] = append(checks[a.Gauge], a)
		origin = earlier(origin, a.Time)
	}
	for _, r := range residuals {
		origin = earlier(origin, r.Time)
	}
	origin = origin.UTC().Truncate(24 * time.Hour)

	all := clusters(links(residuals), maxGroup)
	alone := maps.Clone(checks)
	for _, c := range all {
		for name := range c.gauges {
			delete(alone, name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(alone)) {
		all = append(all, cluster{gauges: map[string]bool{name: true}})
	}
	tracks := map[string]Track{}
	var site Site
	for _, c := range all {
		g := newGroup(m, c, residuals, checks, origin, until)
		g.watch()
		for _, t := range g.smooth(origin) {
			if known, ok := tracks[t.Gauge]; !ok || t.last().Sigma < known.last().Sigma {
				tracks[t.Gauge] = t
			}
		}
		site.Alarms = append(site.Alarms, g.reported(origin)...)
		site.Combinations = append(site.Combinations, g.combinations()...)
	}
	for _, name := range slices.Sorted(maps.Keys(tracks)) {
		site.Tracks = append(site.Tracks, tracks[name])
	}
	slices.SortStableFunc(site.Alarms, func(a, b Alarm) int { return a.Time.Compare(b.Time) })
	slices.SortStableFunc(site.Combinations, func(a, b Combination) int { return cmp.Compare(key(a.Terms), key(b.Terms)) })
	return site, nil
}

func (t Track) last() Point { return t.Points[len(t.Points)-1] }

func earlier(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}

func at(origin time.Time, days float64) time.Time {
	return origin.Add(time.Duration(days * 24 * float64(time.Hour)))
}

func (g *group) reported(origin time.Time) []Alarm {
	var all []Alarm
	for _, a := range g.alarms {
		all = append(all, Alarm{
			Time: at(origin, g.epochs[a.found].at), Since: at(origin, g.epochs[a.onset].at), Suspects: a.suspects,
		})
	}
	return all
}

// combinations returns the sums that the residuals see and that are known at the
// last epoch at least twice as well as any of their terms.
func (g *group) combinations() []Combination {
	s := g.states[len(g.states)-1]
	seen := map[string]bool{}
	var all []Combination
	for _, e := range g.epochs {
		for _, o := range e.observations {
			if len(o.gauge) < 2 {
				continue
			}
			c := Combination{}
			f := make([]float64, s.root.n)
			least := math.Inf(1)
			for i, k := range o.gauge {
				c.Terms = append(c.Terms, Term{Gauge: g.gauges[k], Coefficient: o.coefficient[i]})
				row := s.root.row(2 * k)
				addTo(f, o.coefficient[i], row)
				c.Value += o.coefficient[i] * s.after[2*k] / micro
				least = min(least, math.Abs(o.coefficient[i])*math.Sqrt(dot(row, row))/micro)
			}
			slices.SortFunc(c.Terms, func(a, b Term) int { return strings.Compare(a.Gauge, b.Gauge) })
			c.Sigma = math.Sqrt(dot(f, f)) / micro
			if name := key(c.Terms); !seen[name] {
				seen[name] = true
				if c.Sigma < least/2 {
					all = append(all, c)
				}
			}
		}
	}
	return all
}

func key(terms []Term) string {
	var b strings.Builder
	for _, t := range terms {
		fmt.Fprintf(&b, "%s\x00%g\x00", t.Gauge, t.Coefficient)
	}
	return b.String()
}
