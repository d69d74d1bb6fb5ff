package formula

import (
	"errors"
	"math/big"
	"slices"

	"gauged/internal/gauge"
)

// Functions of one value whose result is no exact number.
const (
	FunctionRoot    = "sqrt"
	FunctionSine    = "sin"
	FunctionCosine  = "cos"
	functionTangent = "tan"
)

var ofOneValue = []string{FunctionCosine, FunctionRoot, FunctionSine, functionTangent}

// DomainError says that a function has no value there.
type DomainError struct{ says gauge.Message }

// NoValue is a DomainError.
func NoValue(code string, args ...gauge.Arg) error { return &DomainError{gauge.Say(code, args...)} }

// Error gives code and arguments, for logs.
func (e *DomainError) Error() string { return e.says.String() }

// Tell says which value the function does not take.
func (e *DomainError) Tell() gauge.Message { return e.says }

// fine is how finely these functions are taken: to 30 decimals of a picometre, or
// of what else is computed with, half to even. What has fewer is exact, such as
// the root of a square and the sine of 30 degrees.
var fine = new(big.Int).Exp(big.NewInt(10), big.NewInt(30), nil)

// atFine rounds above/below to 30 decimals.
func atFine(above, below *big.Int) *big.Rat {
	steps := wholeSteps(toEven, new(big.Rat).SetFrac(new(big.Int).Mul(above, fine), below))
	return new(big.Rat).SetFrac(steps, fine)
}

// ofOne computes such a function.
func ofOne(name string, x *big.Rat) (*big.Rat, error) {
	if name == FunctionRoot {
		return root(x)
	}
	sine, cosine := sines(x)
	switch name {
	case FunctionSine:
		return atFine(sine, circle), nil
	case FunctionCosine:
		return atFine(cosine, circle), nil
	}
	if new(big.Int).Abs(cosine).Cmp(steepestCosine) < 0 {
		return nil, NoValue("formula.tangent", written("angle", x.FloatString(6)))
	}
	return atFine(sine, cosine), nil
}

// root is the square root. That of a quotient a/b is the root of a*b, over b.
func root(x *big.Rat) (*big.Rat, error) {
	if x.Sign() < 0 {
		return nil, NoValue("formula.root")
	}
	// 40 more decimals than are kept, so that what was cut off does not matter.
	scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(70), nil)
	product := new(big.Int).Mul(x.Num(), x.Denom())
	product.Mul(product, scale).Mul(product, scale)
	return atFine(product.Sqrt(product), scale.Mul(scale, x.Denom())), nil
}

// circle is the radius with which sines are computed: 60 decimals.
var circle = new(big.Int).Exp(big.NewInt(10), big.NewInt(60), nil)

// steepestCosine bounds tangents: nearer to a right angle there is none.
var steepestCosine = new(big.Int).Exp(big.NewInt(10), big.NewInt(60-12), nil)

// pi to 70 decimals.
var pi, _ = new(big.Rat).SetString("3.1415926535897932384626433832795028841971693993751058209749445923078164")

// sines are the sine and the cosine of an angle in degrees, both times circle, to
// about 55 decimals. Turns are taken off exactly, and what is left of a quarter
// turn is at most 45 degrees, for the Taylor series.
func sines(degrees *big.Rat) (sine, cosine *big.Int) {
	quarters := wholeSteps(toEven, new(big.Rat).Quo(degrees, big.NewRat(90, 1)))
	rest := new(big.Rat).SetInt(new(big.Int).Mul(quarters, big.NewInt(90)))
	rest.Sub(degrees, rest)
	rest.Mul(rest, pi).Quo(rest, big.NewRat(180, 1)).Mul(rest, new(big.Rat).SetInt(circle))
	x := wholeSteps(toEven, rest) // in radians
	sine, cosine = new(big.Int), new(big.Int)
	term := new(big.Int).Set(circle)
	for k := int64(1); term.Sign() != 0; k++ {
		into := []*big.Int{cosine, sine}[(k-1)%2]
		if (k-1)%4 < 2 {
			into.Add(into, term)
		} else {
			into.Sub(into, term)
		}
		term.Mul(term, x).Quo(term, circle).Quo(term, big.NewInt(k))
	}
	switch new(big.Int).Mod(quarters, big.NewInt(4)).Int64() {
	case 1:
		sine, cosine = cosine, sine.Neg(sine)
	case 2:
		sine, cosine = sine.Neg(sine), cosine.Neg(cosine)
	case 3:
		sine, cosine = cosine.Neg(cosine), sine
	}
	return sine, cosine
}

// ofOneValue checks such a function and says what its result is: the root of a
// length times a length is a length, and sines are of angles.
func (c *checker) ofOneValue(n *Node) (of Dimension, bare bool, err error) {
	if len(n.Args) != 1 {
		return number, false, gauge.WrongInput("sum.one-value", gauge.Text("function", n.Name), gauge.Count("at", n.at+1))
	}
	if of, bare, err = c.check(n.Args[0]); err != nil {
		return number, false, err
	}
	c.e.Linear = c.e.Linear && !n.named()
	switch half, whole := of.half(); {
	case n.Name != FunctionRoot && of != angle && !bare:
		return number, false, gauge.WrongInput("sum.angle", gauge.Text("function", n.Name), gauge.Count("at", n.at+1), gauge.Word("is", of.Word()))
	case n.Name != FunctionRoot:
		of, bare = number, false // a number, which takes no unit from what it is added to
	case !whole:
		return number, false, gauge.WrongInput("sum.root", gauge.Count("at", n.at+1), gauge.Word("is", of.Word()))
	default:
		of = half
	}
	return of, bare, c.hasValue(n)
}

// hasValue computes a function of constants alone, to say at once where it has no
// value.
func (c *checker) hasValue(n *Node) error {
	v := NewValues()
	if !c.constants(n, &v) {
		return nil
	}
	x, err := n.Args[0].Compute(&v)
	if err == nil {
		_, err = ofOne(n.Name, x)
	}
	if none := (*DomainError)(nil); errors.As(err, &none) {
		return gauge.WrongInput("sum.no-value", gauge.Text("function", n.Name), written("value", x.FloatString(6)), gauge.Count("at", n.at+1))
	}
	return err
}

// divisor refuses to divide by constants that come to nothing.
func (c *checker) divisor(n *Node) error {
	v := NewValues()
	if !c.constants(n.Args[1], &v) {
		return nil
	}
	by, err := n.Args[1].Compute(&v)
	if err == nil && by.Sign() == 0 {
		return gauge.WrongInput("sum.zero", gauge.Count("at", n.at+1))
	}
	return err
}

// constants collects the values of the names that a node uses, and reports whether
// all of them are constants.
func (c *checker) constants(n *Node, v *Values) bool {
	if n.Op == OpName {
		v.Of[n.Name] = c.names[n.Name].Value
		return v.Of[n.Name] != nil
	}
	return n.Table == nil && !slices.ContainsFunc(n.Args, func(arg *Node) bool { return !c.constants(arg, v) })
}

// IsOfOneValue reports whether it is one of the functions of one value: a root, or of
// an angle.
func IsOfOneValue(function string) bool { return slices.Contains(ofOneValue, function) }
