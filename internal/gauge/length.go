package gauge

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/bits"
	"strings"
)

// Length is an exact length or a difference of lengths in picometres. One
// inch, one microinch (25 400 pm) and every metric digit that a gauge shows
// are whole numbers of picometres, so sums and limits never round.
//
// A value of another kind (see Kind) is a Length too: it counts 1e-9 of the
// unit that it was given in, exact to nine decimals, and so means nothing
// without that unit.
type Length int64

// MaxLength is the largest magnitude that is read or computed: one kilometre,
// or a million of a unit that is no length. It keeps sums of thousands of
// lengths within an int64.
const MaxLength Length = 1e15

// Reasons why a decimal text is not a value of its unit. They are wrapped in a
// *NumberError that carries the text.
var (
	ErrEmpty      = errors.New("there are no digits")
	ErrComma      = errors.New("the decimal sign must be a point, not a comma")
	ErrNotDecimal = errors.New("it is not a plain decimal number")
	ErrTooFine    = errors.New("it has digits finer than one picometre")
	ErrTooLarge   = errors.New("it is larger than one kilometre")
	ErrNoUnit     = errors.New("its unit is not known")
)

// NumberError says which text could not be read as a value of its kind, and why.
type NumberError struct {
	Text string
	Kind Kind // KindNone when the unit is not known
	Err  error
}

// Error says the text, and why it is no such number.
func (e *NumberError) Error() string {
	if _, decimals, _ := strings.Cut(e.Text, "."); errors.Is(e.Err, ErrTooFine) && len(decimals) > mostDecimals {
		return fmt.Sprintf("%q has too many digits: it has %d decimals, and %s; leave out what no gauge shows", e.Text, len(decimals), keptDecimals(e.Kind))
	}
	if e.Kind == KindNone || e.Kind == KindLength {
		return fmt.Sprintf("%q is not a length: %v", e.Text, e.Err)
	}
	why := e.Err.Error()
	switch {
	case errors.Is(e.Err, ErrTooFine):
		why = "it has more than nine decimals"
	case errors.Is(e.Err, ErrTooLarge):
		why = "it is larger than a million"
	}
	return fmt.Sprintf("%q is not %s: %s", e.Text, e.Kind.A(), why)
}

// Unwrap returns what is wrong with the text.
func (e *NumberError) Unwrap() error { return e.Err }

// mostDecimals is how many decimals a value has at most in any unit, zeros at the
// end left out: with more it is finer than a step of a Length.
const mostDecimals = 9

// keptDecimals says how many decimals are kept.
func keptDecimals(k Kind) string {
	if k == KindLength {
		return "a length is kept to a picometre, 9 decimals in mm or in and 6 in um"
	}
	return fmt.Sprintf("9 are kept of %s", k.A())
}

// mostWhole is how many digits before the decimal point a value has at most: one
// kilometre has ten in um.
const mostWhole = 10

// ParseLength reads an optional sign, digits and at most one decimal point as
// a value in unit u. No float is involved; exponents, spaces, digit grouping
// and decimal commas are refused.
func ParseLength(text string, u Unit) (Length, error) {
	l, err := parseLength(text, u)
	if err != nil {
		return 0, &NumberError{Text: text, Kind: u.Kind(), Err: err}
	}
	return l, nil
}

func parseLength(text string, u Unit) (Length, error) {
	if !u.Known() {
		return 0, ErrNoUnit
	}
	digits, negative := strings.CutPrefix(text, "-")
	if !negative {
		digits, _ = strings.CutPrefix(text, "+")
	}
	whole, decimals, err := splitDecimal(digits)
	if err != nil {
		return 0, err
	}
	switch {
	case len(whole) > mostWhole:
		return 0, ErrTooLarge
	case len(decimals) > mostDecimals:
		return 0, ErrTooFine
	}
	// value = coefficient / 10^places, so the length is coefficient * size / 10^places.
	size, places := uint64(u.Size()), len(decimals)
	for places > 0 && size%10 == 0 {
		size, places = size/10, places-1
	}
	var coefficient uint64
	for _, c := range []byte(whole + decimals) { // 19 digits, which an uint64 holds
		coefficient = 10*coefficient + uint64(c-'0')
	}
	for ; places > 0; places-- {
		if coefficient%10 == 0 {
			coefficient /= 10
			continue
		}
		if size%2 == 0 && coefficient%5 == 0 {
			size, coefficient = size/2, coefficient/5
			continue
		}
		return 0, ErrTooFine
	}
	hi, pm := bits.Mul64(coefficient, size)
	if hi != 0 || pm > uint64(MaxLength) {
		return 0, ErrTooLarge
	}
	if negative {
		return -Length(pm), nil
	}
	return Length(pm), nil
}

// splitDecimal parts digits at the decimal point and drops zeros that carry no value.
func splitDecimal(digits string) (whole, decimals string, err error) {
	whole, decimals, _ = strings.Cut(digits, ".")
	if whole == "" && decimals == "" {
		return "", "", ErrEmpty
	}
	for _, part := range []string{whole, decimals} {
		for _, c := range []byte(part) {
			if c == ',' {
				return "", "", ErrComma
			}
			if c < '0' || c > '9' {
				return "", "", ErrNotDecimal
			}
		}
	}
	return strings.TrimLeft(whole, "0"), strings.TrimRight(decimals, "0"), nil
}

// MustLength is ParseLength for texts that are known to be right.
func MustLength(text string, u Unit) Length {
	l, err := ParseLength(text, u)
	if err != nil {
		panic(err)
	}
	return l
}

// Text writes l in unit u with the given number of decimals, rounded half to
// even. It is for people: compute with the Length itself.
func (l Length) Text(u Unit, decimals int) string {
	if !u.Known() {
		return fmt.Sprintf("%d pm", int64(l))
	}
	scaled := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil)
	scaled.Mul(scaled, big.NewInt(int64(l)))
	rounded := roundHalfEven(scaled, big.NewInt(int64(u.Size())))
	text := new(big.Int).Abs(rounded).String()
	if decimals > 0 {
		if missing := decimals + 1 - len(text); missing > 0 {
			text = strings.Repeat("0", missing) + text
		}
		point := len(text) - decimals
		text = text[:point] + "." + text[point:]
	}
	if rounded.Sign() < 0 {
		return "-" + text
	}
	return text
}

// Exact reports whether l is a whole number of the given decimals of u, so
// that Text shows it without rounding.
func (l Length) Exact(u Unit, decimals int) bool {
	if !u.Known() {
		return false
	}
	scaled := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil)
	scaled.Mul(scaled, big.NewInt(int64(l)))
	return scaled.Rem(scaled, big.NewInt(int64(u.Size()))).Sign() == 0
}

// Decimals is the fewest decimals of u, from least on and up to most, with which Text shows l
// without rounding.
func (l Length) Decimals(u Unit, least, most int) int {
	for least < most && !l.Exact(u, least) {
		least++
	}
	return least
}

// Metres returns a true length in metres for metrics and statistics; it rounds to the
// nearest float64.
func (l Length) Metres() float64 { return float64(l) / 1e12 }

// OfMetres is an estimate in metres, such as an uncertainty, rounded to a picometre. What is
// measured never comes from a float.
func OfMetres(metres float64) Length { return Length(math.Round(metres * 1e12)) }

// Abs returns the magnitude of l.
func (l Length) Abs() Length {
	if l < 0 {
		return -l
	}
	return l
}

// Mean returns the arithmetic mean of at least one length, rounded once to a
// picometre, half to even.
func Mean(lengths ...Length) Length {
	total := new(big.Int)
	for _, l := range lengths {
		total.Add(total, big.NewInt(int64(l)))
	}
	return Length(roundHalfEven(total, big.NewInt(int64(len(lengths)))).Int64())
}

// RoundRat rounds a number of picometres once, half to even. Its magnitude
// must not exceed MaxLength.
func RoundRat(picometres *big.Rat) (Length, error) {
	rounded := roundHalfEven(picometres.Num(), picometres.Denom())
	if rounded.CmpAbs(big.NewInt(int64(MaxLength))) > 0 {
		return 0, ErrTooLarge
	}
	return Length(rounded.Int64()), nil
}

// roundHalfEven divides and rounds to the nearest integer, ties to even.
func roundHalfEven(numerator, denominator *big.Int) *big.Int {
	if denominator.Sign() < 0 {
		numerator, denominator = new(big.Int).Neg(numerator), new(big.Int).Neg(denominator)
	}
	quotient, remainder := new(big.Int).DivMod(numerator, denominator, new(big.Int))
	twice := remainder.Lsh(remainder, 1)
	if c := twice.Cmp(denominator); c > 0 || c == 0 && quotient.Bit(0) == 1 {
		quotient.Add(quotient, big.NewInt(1))
	}
	return quotient
}

// TextIn writes a value in its unit, without the unit, with as many decimals as
// it needs, at most six; what needs more is rounded to four.
func (l Length) TextIn(u Unit) string {
	text := l.Text(u, 9)
	if u.Kind() == KindLength || !l.Exact(u, 6) {
		text = l.Text(u, 4)
	}
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}
