package drift

import (
	"math"
	"slices"
)

// size is how far from zero an error is.
func (o Options) size(x float64) float64 { return math.Abs(x + o.Origin) }

// beyond says that an error is beyond the limit.
func (o Options) beyond(x float64) bool { return o.MPE > 0 && o.size(x) > o.MPE }

// fails says that a check failed; without a verdict one that found the error beyond the
// limit did.
func (c Check) fails(o Options) bool {
	return c.Verdict == Failed || c.Verdict == "" && o.beyond(c.Found)
}

// leftBeyond says that the gauge was adjusted, and left beyond the limit.
func (c Check) leftBeyond(o Options) bool { return c.Left != nil && o.beyond(*c.Left) }

// failing says that a check failed, or left the gauge beyond its limit, and that none
// passed since. A zero return that passes decides nothing.
func failing(checks []Check, o Options) bool {
	for _, c := range slices.Backward(checks) {
		switch {
		case c.Left != nil:
			return c.leftBeyond(o)
		case c.fails(o):
			return true
		case !c.Aside && c.Verdict != Undecided:
			return false
		}
	}
	return false
}
