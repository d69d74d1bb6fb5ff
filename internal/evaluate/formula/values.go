package formula

import (
	"math/big"
	"slices"

	"gauged/internal/gauge"
)

// Values are the quantities that are known so far, to compute with.
type Values struct {
	Of       map[string]*big.Rat
	Readings map[string]Readings // the readings that count, of each step
	Marks    map[string]string   // what steps with codes have read
	Taken    map[Taken]*big.Rat  // statistics of readings that count instead of what the readings say
}

// Readings are the readings of a step, before what they are corrected by.
type Readings struct {
	Of     []gauge.Length
	Unit   gauge.Unit
	Factor *big.Rat // nil: 1
}

// Exact returns the readings to compute with.
func (r Readings) Exact() []*big.Rat {
	list := make([]*big.Rat, len(r.Of))
	for i, l := range r.Of {
		if list[i] = Exact(l, r.Unit); r.Factor != nil {
			list[i].Mul(list[i], r.Factor)
		}
	}
	return list
}

// Compute is the value of the expression, exact. The error is a *MissingError for a name that
// has no value, a *DomainError where a function or a quotient has none, a *RefusalError
// for what a table does not print, or ErrEndless.
func (e *Expression) Compute(v *Values) (*big.Rat, error) { return e.Root.Compute(v) }

// NewValues are those of which nothing is known yet.
func NewValues() Values {
	return Values{Of: map[string]*big.Rat{}, Readings: map[string]Readings{}, Marks: map[string]string{}}
}

var errZero = NoValue("formula.zero")

// ErrEndless says that an exact result has more digits than are computed.
var ErrEndless = gauge.WrongInput("sum.endless")

// MissingError is a name that has no value in the present case.
type MissingError struct{ name string }

// Error gives code and arguments, for logs.
func (e *MissingError) Error() string { return e.Tell().String() }

// Tell says the name.
func (e *MissingError) Tell() gauge.Message {
	return gauge.Say("formula.missing", gauge.Text("name", e.name))
}

// mostBits bounds the exact numbers of a formula: a sum of thousands of lengths
// has a hundred, while products of products could fill the memory.
const mostBits = 20_000

// Compute is the value of a node, with the errors of Expression.Compute; v may be nil for one
// without names. The result must not be changed.
func (n *Node) Compute(v *Values) (*big.Rat, error) {
	switch n.Op {
	case OpNumber:
		return n.Number, nil
	case OpName:
		r, ok := v.Of[n.Name]
		if !ok {
			return nil, &MissingError{n.Name}
		}
		return r, nil
	case OpCall:
		return n.call(v)
	}
	left, err := n.Args[0].Compute(v)
	if err != nil {
		return nil, err
	}
	right, err := n.Args[1].Compute(v)
	if err != nil {
		return nil, err
	}
	result := new(big.Rat)
	switch n.Op {
	case OpAdd:
		result.Add(left, right)
	case OpSubtract:
		result.Sub(left, right)
	case OpMultiply:
		result.Mul(left, right)
	default:
		if right.Sign() == 0 {
			return nil, errZero
		}
		result.Quo(left, right)
	}
	if result.Num().BitLen() > mostBits || result.Denom().BitLen() > mostBits {
		return nil, ErrEndless
	}
	return result, nil
}

func (n *Node) call(v *Values) (*big.Rat, error) {
	if n.Table != nil {
		return n.lookUp(v)
	}
	if n.Over {
		if r, ok := v.Taken[Taken{n.Args[0].Name, n.Name}]; ok {
			return r, nil
		}
		list := v.Readings[n.Args[0].Name].Exact()
		if len(list) == 0 {
			return nil, &MissingError{n.Args[0].Name}
		}
		return Statistic(n.Name, list), nil
	}
	list := make([]*big.Rat, len(n.Args))
	for i, arg := range n.Args {
		var err error
		if list[i], err = arg.Compute(v); err != nil {
			return nil, err
		}
	}
	if IsRounding(n.Name) {
		return n.round(list[0], list[1])
	}
	if IsOfOneValue(n.Name) {
		return ofOne(n.Name, list[0])
	}
	return Statistic(n.Name, list), nil
}

// Statistic is what a function of several values makes of at least one: abs, smallest,
// largest, range or median; any other name is the mean.
func Statistic(name string, list []*big.Rat) *big.Rat {
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
		return MeanOf(sorted[half-1 : half+1])
	}
	return MeanOf(list)
}

// MeanOf is the mean of at least one value.
func MeanOf(list []*big.Rat) *big.Rat {
	total := new(big.Rat)
	for _, r := range list {
		total.Add(total, r)
	}
	return total.Quo(total, new(big.Rat).SetInt64(int64(len(list))))
}

// Taken names a measurement, or with Take a statistic of its readings that a
// formula asks for, such as range(lash).
type Taken struct {
	Step string
	Take string
}
