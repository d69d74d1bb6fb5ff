package jobs

import (
	"math"
	"slices"
)

// How the wander of the gauges of a group is estimated, as a multiple of the model's.
// It is at least that. Before any data its logarithm is taken to be normal about
// the model's, with so many standard deviations to a factor of e. Common practice, no source.
const (
	wanderStep  = 1.25
	mostWander  = 10.0
	wanderPrior = 2.0
)

// estimateWander finds the wander that is most likely by the data, with the faults that
// were found taken for faults and what is far off counted less, and says whether it is
// larger than the one that is in force. The likelihood is that of the filter: each datum
// by those before it (Schweppe, "Evaluation of likelihood functions for Gaussian
// signals", 1965, from memory).
func (g *group) estimateWander() bool {
	if !g.restless() {
		return false
	}
	began := g.wander
	best, most, states := began, g.posterior(), g.states
	for g.wander*wanderStep <= mostWander {
		g.wander *= wanderStep
		g.states = slices.Clone(states)
		for e := range g.epochs {
			g.advance(e)
		}
		p := g.posterior()
		if p <= most {
			break
		}
		best, most = g.wander, p
	}
	g.wander, g.states = best, states
	return best > began
}

// restless says that the data deviate from what was expected by more than they should on
// average: else a larger wander is not looked for, which would take as long as all else.
func (g *group) restless() bool {
	squares, data := 0.0, 0
	for e, s := range g.states {
		squares += s.squares
		data += len(g.epochs[e].observations)
	}
	return squares > float64(data)
}

// posterior is the log of how likely the wander in force is, but for a constant.
func (g *group) posterior() float64 {
	x := wanderPrior * math.Log(g.wander)
	sum := -x * x / 2
	for _, s := range g.states {
		sum += s.likelihood
	}
	return sum
}

// huber is the square of z up to the clip, and from there on a straight line: what is far
// off counts by how far, not by its square (Huber, "Robust estimation of a location
// parameter", 1964, from memory).
func huber(z, clip float64) float64 {
	if z <= clip {
		return z * z
	}
	return clip * (2*z - clip)
}
