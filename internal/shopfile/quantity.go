package shopfile

import (
	"strings"

	"go.yaml.in/yaml/v4"

	"gauged/internal/gauge"
)

// Unit returns the symbol of a unit of length: mm, in or um.
func (v Value) Unit() gauge.Unit {
	return v.unit(gauge.Say("entry.needed.unit-of-length"), gauge.KindLength)
}

// SentUnit returns a unit in which a gauge may send.
func (v Value) SentUnit() gauge.Unit {
	return v.unit(gauge.Say("entry.needed.unit-sent"), gauge.Sent...)
}

// AnyUnit returns a unit symbol of any kind.
func (v Value) AnyUnit() gauge.Unit { return v.unit(gauge.Say("entry.needed.unit")) }

func (v Value) unit(needed gauge.Message, kinds ...gauge.Kind) gauge.Unit {
	if !v.is(yaml.ScalarNode, needed) {
		return gauge.UnitUnknown
	}
	u, err := gauge.ParseUnit(v.node.Value, kinds...)
	if err != nil {
		v.Wrong(gauge.Told(err))
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
	if !v.is(yaml.ScalarNode, gauge.Say("entry.needed.kind", gauge.Word("kind", what.Word()))) || !u.Known() {
		return 0, false
	}
	l, err := gauge.ParseLength(v.node.Value, u)
	if err != nil {
		tell := v.Wrong
		if _, _, two := asLimits(v.node.Value); two {
			tell = v.Causes // of the other limit, which seems to be missing
		}
		why := numberSays(err)
		if remedy := remedy(v.node.Value, u); !remedy.IsZero() {
			why = gauge.Say("entry.with-remedy", gauge.Nested("why", why), gauge.Nested("remedy", remedy))
		}
		tell(why)
	}
	return l, err == nil
}

// Quantity returns the digits and the unit of a text such as 0.35 N m; the
// digits read as a length in that unit. After a problem both are empty.
func (v Value) Quantity() (digits string, u gauge.Unit) {
	if !v.is(yaml.ScalarNode, gauge.Say("entry.needed.quantity")) {
		return "", gauge.UnitUnknown
	}
	digits, symbol, found := strings.Cut(v.node.Value, " ")
	if !found {
		v.Wrong(gauge.Say("entry.no-unit", Quoted("text", v.node.Value)))
		return "", gauge.UnitUnknown
	}
	u, err := gauge.ParseUnit(symbol)
	if err == nil {
		_, err = gauge.ParseLength(digits, u)
	}
	if err != nil {
		v.Wrong(numberSays(err))
		return "", gauge.UnitUnknown
	}
	return digits, u
}

// Positive returns a decimal in unit u, exactly, that must be above zero, or with
// zero may be zero; else it reports a problem.
func (v Value) Positive(u gauge.Unit, zero bool) *gauge.Length {
	l := v.Length(u)
	if l < 0 || l == 0 && !zero && v.Given() && u.Known() {
		v.Wrong(gauge.Say("entry.not-above-zero", v.As("value")))
	}
	return &l
}
