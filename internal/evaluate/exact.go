package evaluate

import (
	"errors"
	"fmt"
	"math/big"
	"slices"

	"gauged/internal/gauge"
)

// values are the quantities that are known so far, to compute with.
type values struct {
	of       map[string]*big.Rat
	readings map[string]repeated  // the readings that count, of each step
	marks    map[string]string    // what steps with codes have read
	taken    map[openKey]*big.Rat // statistics of readings that count instead of what the readings say
}

// repeated are the readings of a step, before what they are corrected by.
type repeated struct {
	of     []gauge.Length
	unit   gauge.Unit
	factor *big.Rat // nil: 1
}

// exact returns the readings to compute with.
func (r repeated) exact() []*big.Rat {
	list := make([]*big.Rat, len(r.of))
	for i, l := range r.of {
		if list[i] = exact(l, r.unit); r.factor != nil {
			list[i].Mul(list[i], r.factor)
		}
	}
	return list
}

// value computes the expression exactly. A name that has no value is an error,
// as is a division by zero.
func (e *Expression) value(v *values) (*big.Rat, error) { return e.root.value(v) }

func newValues() values {
	return values{of: map[string]*big.Rat{}, readings: map[string]repeated{}, marks: map[string]string{}}
}

var (
	errZero    = &domainError{"division by zero"}
	errEndless = errors.New("the exact result has too many digits: write the formula with fewer products and quotients")
)

// missing is a name that has no value in the present case.
type missing struct{ name string }

func (e *missing) Error() string { return fmt.Sprintf("%q was not measured in this case", e.name) }

// mostBits bounds the exact numbers of a formula: a sum of thousands of lengths
// has a hundred, while products of products could fill the memory.
const mostBits = 20_000

// value computes a node; v may be nil for one without names. The result must
// not be changed.
func (n *node) value(v *values) (*big.Rat, error) {
	switch n.op {
	case opNumber:
		return n.number, nil
	case opName:
		r, ok := v.of[n.name]
		if !ok {
			return nil, &missing{n.name}
		}
		return r, nil
	case opCall:
		return n.call(v)
	}
	left, err := n.args[0].value(v)
	if err != nil {
		return nil, err
	}
	right, err := n.args[1].value(v)
	if err != nil {
		return nil, err
	}
	result := new(big.Rat)
	switch n.op {
	case opAdd:
		result.Add(left, right)
	case opSubtract:
		result.Sub(left, right)
	case opMultiply:
		result.Mul(left, right)
	default:
		if right.Sign() == 0 {
			return nil, errZero
		}
		result.Quo(left, right)
	}
	if result.Num().BitLen() > mostBits || result.Denom().BitLen() > mostBits {
		return nil, errEndless
	}
	return result, nil
}

func (n *node) call(v *values) (*big.Rat, error) {
	if n.table != nil {
		return n.lookUp(v)
	}
	if n.over {
		if r, ok := v.taken[openKey{n.args[0].name, Take(n.name)}]; ok {
			return r, nil
		}
		list := v.readings[n.args[0].name].exact()
		if len(list) == 0 {
			return nil, &missing{n.args[0].name}
		}
		return statistic(n.name, list), nil
	}
	list := make([]*big.Rat, len(n.args))
	for i, arg := range n.args {
		var err error
		if list[i], err = arg.value(v); err != nil {
			return nil, err
		}
	}
	if isRounding(n.name) {
		return n.round(list[0], list[1])
	}
	if slices.Contains(ofOneValue, n.name) {
		return ofOne(n.name, list[0])
	}
	return statistic(n.name, list), nil
}

// statistic of at least one value.
func statistic(name string, list []*big.Rat) *big.Rat {
	sorted := slices.SortedFunc(slices.Values(list), (*big.Rat).Cmp)
	first, last := sorted[0], sorted[len(sorted)-1]
	switch name {
	case "abs":
		return new(big.Rat).Abs(first)
	case "smallest":
		return first
	case "largest":
		return last
	case "range":
		return new(big.Rat).Sub(last, first)
	case "median":
		half := len(sorted) / 2
		if len(sorted)%2 == 1 {
			return sorted[half]
		}
		return meanOf(sorted[half-1 : half+1])
	}
	return meanOf(list)
}

func meanOf(list []*big.Rat) *big.Rat {
	total := new(big.Rat)
	for _, r := range list {
		total.Add(total, r)
	}
	return total.Quo(total, new(big.Rat).SetInt64(int64(len(list))))
}
