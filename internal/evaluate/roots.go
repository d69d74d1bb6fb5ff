package evaluate

import (
	"fmt"
	"math/big"
	"slices"
)

// Functions of one value whose result is no exact number.
const (
	functionRoot    = "sqrt"
	functionSine    = "sin"
	functionCosine  = "cos"
	functionTangent = "tan"
)

var ofOneValue = []string{functionCosine, functionRoot, functionSine, functionTangent}

// domainError says that a function has no value there.
type domainError struct{ text string }

func (e *domainError) Error() string { return e.text }

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
	if name == functionRoot {
		return root(x)
	}
	sine, cosine := sines(x)
	switch name {
	case functionSine:
		return atFine(sine, circle), nil
	case functionCosine:
		return atFine(cosine, circle), nil
	}
	if new(big.Int).Abs(cosine).Cmp(steepestCosine) < 0 {
		return nil, &domainError{fmt.Sprintf("the tangent of %s degrees has no value", x.FloatString(6))}
	}
	return atFine(sine, cosine), nil
}

// root is the square root. That of a quotient a/b is the root of a*b, over b.
func root(x *big.Rat) (*big.Rat, error) {
	if x.Sign() < 0 {
		return nil, &domainError{"the square root of a negative number has no value"}
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
func (c *checker) ofOneValue(n *node) (of dimension, bare bool, err error) {
	if len(n.args) != 1 {
		return number, false, fmt.Errorf("%s at character %d takes one value", n.name, n.at+1)
	}
	if of, bare, err = c.check(n.args[0]); err != nil {
		return number, false, err
	}
	c.e.linear = c.e.linear && !n.named()
	switch half, whole := of.half(); {
	case n.name != functionRoot && of != angle && !bare:
		return number, false, fmt.Errorf("%s at character %d takes an angle, it is %v: give it the unit deg", n.name, n.at+1, of)
	case n.name != functionRoot:
		of, bare = number, false // a number, which takes no unit from what it is added to
	case !whole:
		return number, false, fmt.Errorf("sqrt at character %d takes a number, or a product of two alike, such as a length times a length; it is %v", n.at+1, of)
	default:
		of = half
	}
	return of, bare, c.hasValue(n)
}

// hasValue computes a function of constants alone, to say at once where it has no
// value.
func (c *checker) hasValue(n *node) error {
	v := newValues()
	if !c.constants(n, &v) {
		return nil
	}
	if _, err := n.value(&v); err != nil {
		return fmt.Errorf("%w (character %d)", err, n.at+1)
	}
	return nil
}

// divisor refuses to divide by constants that come to nothing.
func (c *checker) divisor(n *node) error {
	v := newValues()
	if !c.constants(n.args[1], &v) {
		return nil
	}
	by, err := n.args[1].value(&v)
	if err == nil && by.Sign() == 0 {
		err = errZero
	}
	if err != nil {
		return fmt.Errorf("%w (character %d)", err, n.at+1)
	}
	return nil
}

// constants collects the values of the names that a node uses, and reports whether
// all of them are constants.
func (c *checker) constants(n *node, v *values) bool {
	if n.op == opName {
		v.of[n.name] = c.names[n.name].value
		return v.of[n.name] != nil
	}
	return n.table == nil && !slices.ContainsFunc(n.args, func(arg *node) bool { return !c.constants(arg, v) })
}
