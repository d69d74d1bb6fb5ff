package formula

import (
	"math/big"
	"strings"

	"gauged/internal/gauge"
)

// Dimension is what kind of quantity a value is: the exponents of length,
// force, temperature and angle. A torque is a force times a length, a number has none.
type Dimension struct{ length, force, temperature, angle int8 }

// The dimensions that have a name.
var (
	number      = Dimension{}
	Length      = Dimension{length: 1}
	force       = Dimension{force: 1}
	torque      = Dimension{length: 1, force: 1}
	Temperature = Dimension{temperature: 1}
	angle       = Dimension{angle: 1}
)

func (d Dimension) times(o Dimension) Dimension {
	return Dimension{d.length + o.length, d.force + o.force, d.temperature + o.temperature, d.angle + o.angle}
}

func (d Dimension) over(o Dimension) Dimension {
	return Dimension{d.length - o.length, d.force - o.force, d.temperature - o.temperature, d.angle - o.angle}
}

// half is the dimension of a square root; whole is false when there is none.
func (d Dimension) half() (half Dimension, whole bool) {
	half = Dimension{d.length / 2, d.force / 2, d.temperature / 2, d.angle / 2}
	return half, half.times(half) == d
}

// Word is the key of the word for the dimension in the catalogue: a length, an angle.
func (d Dimension) Word() string {
	for _, u := range []gauge.Unit{gauge.One, gauge.Millimetre, gauge.Newton, gauge.NewtonMetre, gauge.DegreeCelsius, gauge.Degree} {
		if d == DimensionOf(u) {
			return u.Kind().Word()
		}
	}
	return "kind.other"
}

// Usual is the unit in which a value of the dimension is shown when nothing
// else is said, given the procedure's unit of length.
func (d Dimension) Usual(u gauge.Unit) gauge.Unit {
	switch d {
	case Length:
		return u
	case force:
		return gauge.Newton
	case torque:
		return gauge.NewtonMetre
	case Temperature:
		return gauge.DegreeCelsius
	case angle:
		return gauge.Degree
	case number:
		return gauge.One
	}
	return gauge.UnitUnknown
}

// DimensionOf is the dimension of what has that unit; a number where it has none.
func DimensionOf(u gauge.Unit) Dimension {
	switch u.Kind() {
	case gauge.KindLength:
		return Length
	case gauge.KindForce:
		return force
	case gauge.KindTorque:
		return torque
	case gauge.KindTemperature:
		return Temperature
	case gauge.KindAngle:
		return angle
	}
	return number
}

// Values are computed in picometres, newtons, kelvins and degrees, and products
// of them, so that sums of lengths are sums of whole numbers.
var picometresPerMetre = big.NewRat(1e12, 1)

// ScaleOf returns by what a value as it is stored, which counts u.Size() for
// one u, is multiplied to compute with it. The result is shared: read only.
func ScaleOf(u gauge.Unit) *big.Rat { return scales[u] }

var scales = func() map[gauge.Unit]*big.Rat {
	scales := map[gauge.Unit]*big.Rat{}
	for _, u := range gauge.Units() {
		s := new(big.Rat).Quo(u.Factor(), new(big.Rat).SetInt64(int64(u.Size())))
		if DimensionOf(u).length == 1 {
			s.Mul(s, picometresPerMetre)
		}
		scales[u] = s
	}
	return scales
}()

// Exact returns a stored value in unit u to compute with: in picometres, newtons,
// kelvins, degrees, or products of them.
func Exact(l gauge.Length, u gauge.Unit) *big.Rat {
	r := new(big.Rat).SetInt64(int64(l))
	if u.Kind() == gauge.KindLength || !u.Known() {
		return r
	}
	return r.Mul(r, ScaleOf(u))
}

// InUnit rounds a computed value once, half to even, to a stored value in unit u. One
// that is too large to be kept is a *gauge.NumberError.
func InUnit(r *big.Rat, u gauge.Unit) (gauge.Length, error) {
	if u.Kind() == gauge.KindLength {
		return gauge.RoundRat(r)
	}
	l, err := gauge.RoundRat(new(big.Rat).Quo(r, ScaleOf(u)))
	if err != nil {
		return 0, &gauge.NumberError{Text: "the result", Kind: u.Kind(), Err: err}
	}
	return l, nil
}

// ParseUnits reads a unit or a quotient of two, such as "1/K" or "N/mm", and
// returns its dimension and the size of one such unit to compute with.
func ParseUnits(text string) (Dimension, *big.Rat, error) {
	above, below, quotient := strings.Cut(text, "/")
	d, size, err := oneUnit(above)
	if err != nil || !quotient {
		return d, size, err
	}
	by, divisor, err := oneUnit(below)
	if err != nil {
		return Dimension{}, nil, err
	}
	return d.over(by), size.Quo(size, divisor), nil
}

func oneUnit(text string) (Dimension, *big.Rat, error) {
	u, err := gauge.ParseUnit(text)
	if err != nil {
		return Dimension{}, nil, err
	}
	return DimensionOf(u), Exact(u.Size(), u), nil
}

// mismatch says that two sides of a sum or a comparison do not belong together.
func mismatch(a, b Dimension, at int) error {
	args := []gauge.Arg{gauge.Word("a", a.Word()), gauge.Word("b", b.Word()), gauge.Count("at", at+1)}
	if (a == number || b == number) && a != b {
		args = append(args, gauge.Nested("remedy", gauge.Say("sum.unit-as-constant")))
	}
	return gauge.WrongInput("sum.unlike", args...)
}
