package gauge

import "fmt"

// Unit is the unit in which a length is shown. The zero value means that the
// unit is not known; nothing in this project guesses one.
type Unit uint8

// The units a gauge, a procedure or a part table may use.
const (
	UnitUnknown Unit = iota
	Millimetre
	Inch
	Micrometre
)

// picometres of one unit; 1 in is 25.4 mm exactly (international inch of 1959,
// NIST SP 811 appendix B.8 gives the same factor as exact).
var unitSize = [...]Length{Millimetre: 1e9, Inch: 25_400_000_000, Micrometre: 1e6}

var unitSymbol = [...]string{UnitUnknown: "", Millimetre: "mm", Inch: "in", Micrometre: "um"}

// ParseUnit reads a unit symbol: mm, in or um.
func ParseUnit(symbol string) (Unit, error) {
	for u := Millimetre; int(u) < len(unitSymbol); u++ {
		if unitSymbol[u] == symbol {
			return u, nil
		}
	}
	return UnitUnknown, fmt.Errorf("unknown unit %q: use mm, in or um", symbol)
}

// String returns the symbol of the unit, empty when it is unknown.
func (u Unit) String() string {
	if int(u) >= len(unitSymbol) {
		return fmt.Sprintf("Unit(%d)", u)
	}
	return unitSymbol[u]
}

// Known reports whether u is a unit that lengths can be expressed in.
func (u Unit) Known() bool { return u > UnitUnknown && int(u) < len(unitSize) }

// Size returns the length of one unit, 0 when the unit is unknown.
func (u Unit) Size() Length {
	if !u.Known() {
		return 0
	}
	return unitSize[u]
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
