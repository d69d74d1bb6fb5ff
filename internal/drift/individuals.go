package drift

import (
	"math"
	"slices"
)

// ShewhartWidth is the distance of the limits of single values from the centre, in sigma.
const ShewhartWidth = 3

// Individuals is the chart of single errors and of their moving ranges, with
// the run rules. It is of fixed size.
type Individuals struct {
	Baseline
	runs   runs
	before float64
	begun  bool
}

// NewIndividuals returns the chart on a baseline.
func NewIndividuals(b Baseline) *Individuals { return &Individuals{Baseline: b} }

// Limits returns those of single errors and the upper one of moving ranges
// (NIST/SEMATECH e-Handbook, 6.3.2.2); the lower one of ranges is 0.
func (c *Individuals) Limits() (low, high, moving float64) {
	low, high = c.limits(ShewhartWidth)
	if c.Range > 0 {
		return low, high, rangeUpper * c.Range
	}
	return low, high, rangeUpper * rangeMean * c.Sigma
}

// Individual is what the chart says of one error.
type Individual struct {
	Rules       []Rule // that it breaks
	MovingRange float64
	RangeSignal bool
}

// Add takes the next error.
func (c *Individuals) Add(x float64) Individual {
	var now Individual
	c.runs, now.Rules = c.runs.next(zoneOf((x - c.Centre) / c.Sigma))
	if c.begun {
		_, _, limit := c.Limits()
		now.MovingRange = math.Abs(x - c.before)
		now.RangeSignal = now.MovingRange > limit
	}
	c.before, c.begun = x, true
	return now
}

// Reset begins anew, as after an adjustment.
func (c *Individuals) Reset() { c.runs, c.begun = runs{}, false }

// Rule is a run rule.
type Rule string

// The zone rules of Western Electric, as in the NIST/SEMATECH e-Handbook, 6.3.2.
const (
	BeyondThree Rule = "beyond 3 sigma"
	TwoOfThree  Rule = "2 of 3 beyond 2 sigma on one side"
	FourOfFive  Rule = "4 of 5 beyond 1 sigma on one side"
	EightInARow Rule = "8 in a row on one side"
)

// Rules lists the run rules.
func Rules() []Rule { return []Rule{BeyondThree, TwoOfThree, FourOfFive, EightInARow} }

// zone is where a value lies: 1 to 4 above the centre by up to 1, 2, 3 and more
// sigma, -1 to -4 below, 0 at it.
type zone int

func zoneOf(z float64) zone {
	side := zone(1)
	if z < 0 {
		side = -1
	}
	switch z = math.Abs(z); {
	case z == 0:
		return 0
	case z > 3:
		return 4 * side
	case z > 2:
		return 3 * side
	case z > 1:
		return 2 * side
	}
	return side
}

// runs is what the rules remember: for each side which of the last values lay
// beyond 2 sigma (of the last two) and 1 sigma (of the last four), the newest in
// the lowest bit, and how many in a row lay on one side, negative below.
type runs struct {
	two, one [2]uint8
	row      int8
}

// next takes the zone of a value and returns the rules that it breaks.
func (r runs) next(z zone) (runs, []Rule) {
	var broken []Rule
	beyond := z
	for side := range 2 {
		if side == 1 {
			beyond = -z
		}
		two, one := r.two[side]<<1|bit(beyond >= 3), r.one[side]<<1|bit(beyond >= 2)
		if beyond == 4 {
			broken = append(broken, BeyondThree)
		}
		if beyond >= 3 && ones(two) >= 2 {
			broken = append(broken, TwoOfThree)
		}
		if beyond >= 2 && ones(one) >= 4 {
			broken = append(broken, FourOfFive)
		}
		r.two[side], r.one[side] = two&0b11, one&0b1111
	}
	switch {
	case z == 0:
		r.row = 0
	case z > 0:
		r.row = min(max(r.row, 0)+1, 8)
	default:
		r.row = max(min(r.row, 0)-1, -8)
	}
	if r.row == 8 || r.row == -8 {
		broken = append(broken, EightInARow)
	}
	return r, broken
}

func bit(b bool) uint8 {
	if b {
		return 1
	}
	return 0
}

func ones(x uint8) (n int) {
	for ; x != 0; x &= x - 1 {
		n++
	}
	return n
}

// anyOf says that one of the rules is broken.
func anyOf(broken, rules []Rule) bool {
	return slices.ContainsFunc(broken, func(r Rule) bool { return slices.Contains(rules, r) })
}
