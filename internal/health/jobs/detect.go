package jobs

import (
	"cmp"
	"math"
	"slices"
)

// How far back the onset of a fault is looked for, how far beyond an alarm data
// are used to tell suspects apart, and what is too unlikely to be suspected.
const (
	lookBack    = 90.0 // days
	lookAhead   = 60.0 // days
	leastOdds   = 0.05
	leastWeight = 1e-9 // of an epoch's information, relative to what it is compared with
)

// alarm is an Alarm in epochs.
type alarm struct {
	found, onset int // the fault began after the epoch before onset
	suspects     []Suspect
}

// watch finds the faults, and the wander with which the gauges differ as little from
// healthy ones as they can. A larger wander explains some of what looked like a fault,
// and without that the wander is estimated anew.
func (g *group) watch() {
	g.search()
	for g.estimateWander() {
		g.alarms, g.faults = nil, nil
		g.search()
	}
}

// search runs the filter over all epochs, and again from the onset of each fault
// that it finds, with the suspects' healthy behaviour replaced by that of
// faults.
func (g *group) search() {
	start, quiet := 0, -1
	for {
		found, ok := g.run(start, quiet)
		if !ok {
			return
		}
		onset, end := g.onset(found), g.end(found)
		for e := found + 1; e <= end; e++ {
			g.advance(e)
		}
		a := alarm{found: found, onset: onset, suspects: g.suspects(onset, end)}
		f := fault{epoch: onset}
		for _, s := range a.suspects {
			f.gauges = append(f.gauges, slices.Index(g.gauges, s.Gauge))
		}
		g.alarms, g.faults = append(g.alarms, a), append(g.faults, f)
		start, quiet = onset, found
	}
}

// run filters from epoch start to the last one, or to the first epoch after quiet
// at which the cumulative sum of a gauge, or a single master check, passes its
// limit.
func (g *group) run(start, quiet int) (found int, ok bool) {
	sums := make([]cusum, len(g.gauges))
	for e := start; e < len(g.epochs); e++ {
		g.advance(e)
		if e <= quiet || len(g.epochs[e].observations) == 0 {
			continue
		}
		ok = g.states[e].check > g.checkLimit
		for k, z := range g.scores(e) {
			sums[k].add(z)
			ok = ok || sums[k].worst() > g.limit
		}
		if ok {
			return e, true
		}
	}
	return 0, false
}

// scores returns for each gauge how much the data of an epoch speak for a jump
// of its error just then: the derivative of the log likelihood over its standard
// deviation. While gauges behave as the model says, the scores of a gauge are
// independent and standard normal. A gauge that the data do not touch has 0.
func (g *group) scores(e int) []float64 {
	s := &g.states[e]
	all := make([]float64, len(g.gauges))
	shift := make([]float64, s.root.n)
	y := make([]float64, s.root.n)
	for i := range shift {
		shift[i] = s.after[i] - s.before[i]
	}
	for k := range g.gauges {
		clear(y)
		y[2*k] = 1
		if score, weight := evidence(s.rootBefore, s.root, shift, y); weight > 0 {
			all[k] = max(-clipScore, min(clipScore, score/math.Sqrt(weight)))
		}
	}
	return all
}

// evidence compares what was expected with what data made of it: shift is the
// change of the estimate. It returns the derivative of the log likelihood of
// the data with respect to a change of the true state along direction, which
// it overwrites, and the variance of this derivative. Both follow from the
// estimates alone: the derivative is d' P^-1 shift, and its variance
// d' P^-1 (P - Q) P^-1 d, with P and Q the covariances before and after.
func evidence(before, after square, shift, direction []float64) (score, weight float64) {
	y := append([]float64(nil), direction...)
	before.solve(y)
	expected := dot(direction, y)
	left := after.transposedTimes(y)
	weight = expected - dot(left, left)
	if weight <= leastWeight*expected {
		return 0, 0
	}
	return dot(y, shift), weight
}

// end is the last epoch that is used to tell suspects apart.
func (g *group) end(found int) int {
	end := found
	for e := found + 1; e < len(g.epochs); e++ {
		if g.epochs[e].restart >= 0 || g.epochs[e].at > g.epochs[found].at+lookAhead {
			break
		}
		end = e
	}
	return end
}

// onset is the epoch at which a single fault explains best what is known at
// epoch found.
func (g *group) onset(found int) int {
	best, most := found, math.Inf(-1)
	for e := found; e >= 0; e-- {
		if g.epochs[e].at < g.epochs[found].at-lookBack {
			break
		}
		for _, x := range g.explanations(e, found) {
			if x.likelihood > most {
				best, most = e, x.likelihood
			}
		}
		if g.epochs[e].restart >= 0 {
			break
		}
	}
	return best
}

// explanation is a fault of one gauge, with its log likelihood over that of no
// fault.
type explanation struct {
	Suspect
	likelihood float64
}

// explanations returns the better shape of a fault for each gauge that the data
// from epoch onset to epoch end touch. The fault is a change of the state just
// before the data of onset.
func (g *group) explanations(onset, end int) []explanation {
	from, _ := g.previous(onset)
	noise, passed := g.noiseUntil(onset, end)
	x, root := move(from.after, from.root, passed, noise, g.epochs[onset].restart)
	shift := append([]float64(nil), g.states[end].after...)
	addTo(shift, -1, x)
	direction := make([]float64, root.n)
	var all []explanation
	for k, name := range g.gauges {
		best := explanation{likelihood: math.Inf(-1)}
		for _, shape := range []Shape{Step, Ramp} {
			clear(direction)
			direction[2*k] = 1
			if shape == Ramp {
				direction[2*k], direction[2*k+1] = passed, 1
			}
			score, weight := evidence(root, g.states[end].root, shift, direction)
			if l := score * score / (2 * weight); weight > 0 && l > best.likelihood {
				best = explanation{Suspect{Gauge: name, Shape: shape, Size: score / weight / micro, Sigma: 1 / math.Sqrt(weight) / micro}, l}
			}
		}
		if best.Gauge != "" {
			all = append(all, best)
		}
	}
	return all
}

// suspects returns the gauges that alone explain what came between two epochs
// about as well as the best of them.
func (g *group) suspects(onset, end int) []Suspect {
	all := g.explanations(onset, end)
	slices.SortStableFunc(all, func(a, b explanation) int { return cmp.Compare(b.likelihood, a.likelihood) })
	var left []Suspect
	for _, x := range all {
		x.Odds = math.Exp(x.likelihood - all[0].likelihood)
		if x.Odds >= leastOdds {
			left = append(left, x.Suspect)
		}
	}
	return left
}
