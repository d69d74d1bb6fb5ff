package gauge

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"
	"strings"
)

// Unit is the unit in which a value is shown. The zero value means that the
// unit is not known; nothing in this project guesses one.
type Unit uint8

// The units that a procedure, a part table or a typed reading may use; a gauge on
// a wire has one of the kinds in Sent.
const (
	UnitUnknown Unit = iota
	Millimetre
	Inch
	Micrometre
	Newton
	PoundForce
	KilogramForce
	NewtonMetre
	NewtonCentimetre
	PoundForceInch
	PoundForceFoot
	KilogramForceCentimetre
	DegreeCelsius
	Kelvin
	Degree // of a plane angle
	One    // a plain number; its symbol is 1
)

// billionth is the size of a unit that is no length: its values are counted in
// 1e-9 of the unit.
const billionth Length = 1e9

// unitFacts is what is known about each unit. The factors are exact. NIST SP
// 811 gives 1 in = 25.4 mm as exact in appendix B.8 and writes the symbols of
// section 6 and B.8, here in ASCII. The pound-force and the kilogram-force
// follow exactly from 1 lb = 0.45359237 kg, standard gravity 9.80665 m/s2 and
// the inch; B.8 prints them to seven digits.
var unitFacts = [...]struct {
	symbol string
	kind   Kind
	size   Length
	factor string // in the coherent SI unit of the kind, see Factor
}{
	UnitUnknown:             {},
	Millimetre:              {"mm", KindLength, 1e9, "0.001"},
	Inch:                    {"in", KindLength, 25_400_000_000, "0.0254"},
	Micrometre:              {"um", KindLength, 1e6, "0.000001"},
	Newton:                  {"N", KindForce, billionth, "1"},
	PoundForce:              {"lbf", KindForce, billionth, "4.4482216152605"},
	KilogramForce:           {"kgf", KindForce, billionth, "9.80665"},
	NewtonMetre:             {"N m", KindTorque, billionth, "1"},
	NewtonCentimetre:        {"N cm", KindTorque, billionth, "0.01"},
	PoundForceInch:          {"lbf in", KindTorque, billionth, "0.1129848290276167"},
	PoundForceFoot:          {"lbf ft", KindTorque, billionth, "1.3558179483314004"},
	KilogramForceCentimetre: {"kgf cm", KindTorque, billionth, "0.0980665"},
	DegreeCelsius:           {"degC", KindTemperature, billionth, "1"},
	Kelvin:                  {"K", KindTemperature, billionth, "1"},
	Degree:                  {"deg", KindAngle, billionth, "1"},
	One:                     {"1", KindNumber, billionth, "1"},
}

// Units lists the units of the given kinds, all units when none is given, in a
// fixed order.
func Units(kinds ...Kind) []Unit {
	var units []Unit
	for u := Millimetre; int(u) < len(unitFacts); u++ {
		if len(kinds) == 0 || slices.Contains(kinds, u.Kind()) {
			units = append(units, u)
		}
	}
	return units
}

// Number is how people write the unit of a plain number, whose symbol is 1.
const Number = "number"

// spellings are other ways in which people write a unit, none of which can be another
// one: the micro sign, U+00B5, and the Greek letter mu, U+03BC, for u, and the metric
// torques without the blank. (common practice, no source)
var spellings = map[string]Unit{
	Number: One, "\u00b5m": Micrometre, "\u03bcm": Micrometre,
	"Nm": NewtonMetre, "Ncm": NewtonCentimetre,
}

// ParseUnit reads the symbol of a unit, or another spelling of it, which must be of
// one of the given kinds when there are any.
func ParseUnit(symbol string, kinds ...Kind) (Unit, error) {
	if own, ok := spellings[symbol]; ok {
		symbol = own.String()
	}
	for _, u := range Units() {
		if u.String() != symbol {
			continue
		}
		if len(kinds) > 0 && !slices.Contains(kinds, u.Kind()) {
			return UnitUnknown, Worded(fmt.Sprintf("%q is a unit of %v: use %s", symbol, u.Kind(), sentence(Symbols(kinds...))), Say("refusal.unit.other-kind", Text("unit", symbol), Word("kind", u.Kind().Word()+".alone"), Texts("symbols", Symbols(kinds...))))
		}
		return u, nil
	}
	shown := strconv.Quote(symbol) // in one line, whatever was written
	return UnitUnknown, Worded(fmt.Sprintf("unknown unit %s: use %s", shown, sentence(Symbols(kinds...))), Say("refusal.unit.unknown", Text("unit", shown[1:len(shown)-1]), Texts("symbols", Symbols(kinds...))))
}

// Symbols lists the symbols of the units of the given kinds, as Units does and people
// write them.
func Symbols(kinds ...Kind) []string {
	var list []string
	for _, u := range Units(kinds...) {
		if u == One {
			list = append(list, Number)
			continue
		}
		list = append(list, u.String())
	}
	return list
}

// sentence joins symbols as a sentence does: mm, in or um.
func sentence(list []string) string {
	last := len(list) - 1
	if last < 1 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:last], ", ") + " or " + list[last]
}

// String returns the symbol of the unit, empty when it is unknown.
func (u Unit) String() string {
	if int(u) >= len(unitFacts) {
		return fmt.Sprintf("Unit(%d)", u)
	}
	return unitFacts[u].symbol
}

// Known reports whether u is a unit that values can be expressed in.
func (u Unit) Known() bool { return u > UnitUnknown && int(u) < len(unitFacts) }

// Kind returns what the unit measures, KindNone when it is unknown.
func (u Unit) Kind() Kind {
	if !u.Known() {
		return KindNone
	}
	return unitFacts[u].kind
}

// Size returns how many steps of a Length make one unit: picometres for a unit
// of length, 1e9 for every other unit, 0 when the unit is unknown.
func (u Unit) Size() Length {
	if !u.Known() {
		return 0
	}
	return unitFacts[u].size
}

// Factor returns the exact size of the unit in the coherent SI unit of its
// kind (m, N, N m, K or 1; for an angle the degree, as no exact number is one
// in radians), 0 when it is unknown. The number belongs to the
// caller. It converts differences of temperature; a temperature in degC has
// its zero at 273.15 K besides.
func (u Unit) Factor() *big.Rat {
	factor := new(big.Rat)
	if u.Known() {
		factor.SetString(unitFacts[u].factor)
	}
	return factor
}

// Quantity writes digits with the symbol of the unit behind them. A plain
// number has none.
func (u Unit) Quantity(digits string) string {
	if u == One {
		return digits
	}
	return digits + " " + u.String()
}

// MissingUnit is the error for a number that was typed without a unit. It shows
// how the number is written in each unit of the kind of u, in u first.
func MissingUnit(digits string, u Unit) error {
	if strings.Trim(digits, "+-0123456789.,") != "" {
		return Worded(fmt.Sprintf("%q is not a number with a unit: write it as %s", digits, u.Quantity("12.3")), Say("refusal.unit.no-number", Typed("text", digits), Shown("written", "12.3", u)))
	}
	number := digits
	if strings.Count(digits, ",") == 1 && !strings.Contains(digits, ".") {
		number = strings.Replace(digits, ",", ".", 1) // a comma would be refused next
	} else if strings.Contains(digits, ",") {
		return &NumberError{Text: digits, Kind: u.Kind(), Err: ErrComma}
	}
	written, shown := []string{u.Quantity(number)}, []Arg{Shown("", number, u)}
	for _, other := range Units(u.Kind()) {
		if other != u {
			written, shown = append(written, other.Quantity(number)), append(shown, Shown("", number, other))
		}
	}
	return Worded(fmt.Sprintf("%q has no unit: write it as %s", digits, sentence(written)), Say("refusal.unit.missing", Typed("text", digits), List("written", shown...)))
}

// MarshalText writes the symbol.
func (u Unit) MarshalText() ([]byte, error) { return []byte(u.String()), nil }

// UnmarshalText reads a symbol; an empty text is the unknown unit.
func (u *Unit) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*u = UnitUnknown
		return nil
	}
	parsed, err := ParseUnit(string(text))
	*u = parsed
	return err
}
