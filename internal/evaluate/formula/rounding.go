package formula

import (
	"math/big"
	"slices"

	"gauged/internal/gauge"
)

// Functions that take a value to a step, such as round(x, 0.05).
const (
	toNearest = "round"    // half away from zero, as printed manuals round half up
	ToZero    = "truncate" // what is beyond the step is cut off
	upwards   = "up"
	downwards = "down"
	toEven    = "" // half to even, as a table's key is rounded; no function
)

// IsRounding reports whether it is one of the functions that take a value to a step.
func IsRounding(function string) bool {
	return slices.Contains([]string{toNearest, ToZero, upwards, downwards}, function)
}

// Round takes x to a whole number of steps, exactly, as one of the functions of
// IsRounding does; with no function half to even.
func Round(how string, x, step *big.Rat) *big.Rat {
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
func (n *Node) round(x, step *big.Rat) (*big.Rat, error) {
	if step.Sign() <= 0 {
		return nil, gauge.WrongInput("sum.step-of", gauge.Text("function", n.Name), gauge.Count("at", n.at+1))
	}
	return Round(n.Name, x, step), nil
}

// checkRounding looks at the arguments of such a function, whose dimension is
// one.
func (c *checker) checkRounding(n *Node) error {
	if len(n.Args) != 2 {
		return gauge.WrongInput("sum.rounding", gauge.Text("function", n.Name), gauge.Count("at", n.at+1))
	}
	c.e.Linear = false
	if step := n.Args[1]; !step.named() {
		if value, err := step.Compute(nil); err != nil || value.Sign() <= 0 {
			return gauge.WrongInput("sum.step", gauge.Text("function", n.Name), gauge.Count("at", n.at+1))
		}
	}
	return nil
}

// named reports whether a node uses a name.
func (n *Node) named() bool { return n.Op == OpName || slices.ContainsFunc(n.Args, (*Node).named) }
