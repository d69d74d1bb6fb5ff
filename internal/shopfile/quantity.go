package shopfile

import (
	"strings"

	"go.yaml.in/yaml/v4"

	"gauged/internal/gauge"
)

// Unit returns the symbol of a unit of length: mm, in or um.
func (v Value) Unit() gauge.Unit { return v.unit("a unit (mm, in or um)", gauge.KindLength) }

// SentUnit returns a unit in which a gauge may send.
func (v Value) SentUnit() gauge.Unit {
	return v.unit("a unit in which a gauge sends, such as mm, N or N m,", gauge.Sent...)
}

// AnyUnit returns a unit symbol of any kind.
func (v Value) AnyUnit() gauge.Unit { return v.unit("a unit, such as mm or N m,") }

func (v Value) unit(what string, kinds ...gauge.Kind) gauge.Unit {
	if !v.is(yaml.ScalarNode, what) {
		return gauge.UnitUnknown
	}
	u, err := gauge.ParseUnit(v.node.Value, kinds...)
	if err != nil {
		v.Problemf("%v", err)
	}
	return u
}

// Length returns a decimal in unit u, exactly. A length that stands in two
// units, such as {mm: 1.500, in: 0.0591}, is taken in unit u and checked
// against the other. With an unknown unit it reports nothing: the missing unit
// has been reported where it belongs.
func (v Value) Length(u gauge.Unit) gauge.Length {
	l, _ := v.TryLength(u)
	return l
}

// TryLength is Length, and reports whether there is one, so that a caller who
// checks its size does not complain of a text that has none.
func (v Value) TryLength(u gauge.Unit) (l gauge.Length, ok bool) {
	if v.IsMap() && u.Kind() == gauge.KindLength {
		return v.inTwoUnits(u)
	}
	what := gauge.KindLength
	if u.Known() {
		what = u.Kind()
	}
	if !v.is(yaml.ScalarNode, what.A()) || !u.Known() {
		return 0, false
	}
	l, err := gauge.ParseLength(v.node.Value, u)
	if err != nil {
		tell := v.Problemf
		if _, _, two := asLimits(v.node.Value); two {
			tell = v.Causef // of the other limit, which seems to be missing
		}
		tell("%v%s", err, remedy(v.node.Value, u))
	}
	return l, err == nil
}

// Quantity returns the digits and the unit of a text such as 0.35 N m; the
// digits read as a length in that unit. After a problem both are empty.
func (v Value) Quantity() (digits string, u gauge.Unit) {
	if !v.is(yaml.ScalarNode, "a number with its unit, such as 0.35 N m,") {
		return "", gauge.UnitUnknown
	}
	digits, symbol, found := strings.Cut(v.node.Value, " ")
	if !found {
		v.Problemf("%q has no unit: write a number, a space and the unit, such as 0.35 N m; the unit of a plain number is 1", v.node.Value)
		return "", gauge.UnitUnknown
	}
	u, err := gauge.ParseUnit(symbol)
	if err == nil {
		_, err = gauge.ParseLength(digits, u)
	}
	if err != nil {
		v.Problemf("%v", err)
		return "", gauge.UnitUnknown
	}
	return digits, u
}

// Positive returns a decimal in unit u, exactly, that must be above zero, or with
// zero may be zero; else it reports a problem.
func (v Value) Positive(u gauge.Unit, zero bool) *gauge.Length {
	l := v.Length(u)
	if l < 0 || l == 0 && !zero && v.Given() && u.Known() {
		v.Problemf("%s must be greater than zero", v.Text())
	}
	return &l
}
