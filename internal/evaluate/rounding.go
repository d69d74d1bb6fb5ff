package evaluate

import (
	"fmt"
	"math/big"
	"slices"
)

// Functions that take a value to a step, such as round(x, 0.05).
const (
	toNearest = "round"    // half away from zero, as printed manuals round half up
	toZero    = "truncate" // what is beyond the step is cut off
	upwards   = "up"
	downwards = "down"
	toEven    = "" // half to even, as a table's key is rounded; no function
)

func isRounding(function string) bool {
	return slices.Contains([]string{toNearest, toZero, upwards, downwards}, function)
}

// rounded takes x to a whole number of steps, exactly.
func rounded(how string, x, step *big.Rat) *big.Rat {
	n := wholeSteps(how, new(big.Rat).Quo(x, step))
	return new(big.Rat).Mul(new(big.Rat).SetInt(n), step)
}

// wholeSteps rounds a number of steps to a whole one.
func wholeSteps(how string, steps *big.Rat) *big.Int {
	n, rest := new(big.Int).QuoRem(steps.Num(), steps.Denom(), new(big.Int)) // toward zero
	half := new(big.Int).Abs(rest)
	half.Lsh(half, 1)
	fromHalf := half.Cmp(steps.Denom())
	away := false
	switch how {
	case upwards:
		away = rest.Sign() > 0
	case downwards:
		away = rest.Sign() < 0
	case toNearest:
		away = fromHalf >= 0
	case toEven:
		away = fromHalf > 0 || fromHalf == 0 && n.Bit(0) == 1
	}
	if away {
		n.Add(n, big.NewInt(int64(steps.Sign())))
	}
	return n
}

// round computes a function that takes its first argument to steps of the second.
func (n *node) round(x, step *big.Rat) (*big.Rat, error) {
	if step.Sign() <= 0 {
		return nil, fmt.Errorf("the step of %s (character %d) is not above zero", n.name, n.at+1)
	}
	return rounded(n.name, x, step), nil
}

// checkRounding looks at the arguments of such a function, whose dimension is
// one.
func (c *checker) checkRounding(n *node) error {
	if len(n.args) != 2 {
		return fmt.Errorf("%s at character %d takes a value and a step, such as %s(a, 0.05)", n.name, n.at+1, n.name)
	}
	c.e.linear = false
	if step := n.args[1]; !step.named() {
		if value, err := step.value(nil); err != nil || value.Sign() <= 0 {
			return fmt.Errorf("the step of %s at character %d must be above zero", n.name, n.at+1)
		}
	}
	return nil
}

// named reports whether a node uses a name.
func (n *node) named() bool { return n.op == opName || slices.ContainsFunc(n.args, (*node).named) }
