package qif

import (
	"slices"
	"strings"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/gauge"
	"gauged/internal/wire"
)

// mostDecimals shows a picometre in every unit of length.
const mostDecimals = 12

// units are those that a document has used.
type units struct {
	primary gaugedv1.Unit
	lengths []gaugedv1.Unit // others than the primary one
	others  []gaugedv1.Unit
}

func isLength(u gaugedv1.Unit) bool { return wire.FromUnit(u).Kind() == gauge.KindLength }

// number is a value of a quantity, all its digits; nil for nil.
func (b *builder) number(q *gaugedv1.Quantity) *value {
	if q == nil {
		return nil
	}
	return b.inUnit(wire.FromQuantity(q), q.GetUnit(), decimalsOf(q))
}

// middle is half way between two limits of one unit.
func (b *builder) middle(least, most *gaugedv1.Quantity) *value {
	low, high := wire.FromQuantity(least), wire.FromQuantity(most)
	return b.inUnit(low+(high-low)/2, most.GetUnit(), max(decimalsOf(least), decimalsOf(most)))
}

func (b *builder) inUnit(l gauge.Length, u gaugedv1.Unit, decimals int) *value {
	v := &value{Number: written(l, wire.FromUnit(u), decimals)}
	if isLength(u) {
		v.LinearUnit = b.units.linear(u)
	} else {
		v.UserUnit = b.units.other(u)
	}
	return v
}

// digits are those of a quantity in a unit of its kind; in its own they are those that it is
// told with, such as the three of an uncertainty.
func digits(q *gaugedv1.Quantity, u gaugedv1.Unit) string {
	if q.GetUnit() == u && q.GetText() != "" {
		return q.GetText()
	}
	return written(wire.FromQuantity(q), wire.FromUnit(u), 0)
}

// written are all digits of a value, with so many decimals at least: 0.190 of a display says
// how fine it was read.
func written(l gauge.Length, u gauge.Unit, decimals int) string {
	return l.Text(u, l.Decimals(u, decimals, mostDecimals))
}

// decimalsOf is with how many decimals a quantity is told.
func decimalsOf(q *gaugedv1.Quantity) int {
	_, decimals, _ := strings.Cut(q.GetText(), ".")
	return min(len(decimals), mostDecimals)
}

// inWords is a quantity as text with its unit; empty for nil.
func inWords(q *gaugedv1.Quantity) string {
	if q == nil {
		return ""
	}
	return wire.FromUnit(q.GetUnit()).Quantity(q.GetText())
}

// linear is the name of a unit of length; that of the primary one need not be said.
func (s *units) linear(u gaugedv1.Unit) string {
	if u == s.primary {
		return ""
	}
	if !slices.Contains(s.lengths, u) {
		s.lengths = append(s.lengths, u)
	}
	return wire.FromUnit(u).String()
}

func (s *units) other(u gaugedv1.Unit) string {
	if !slices.Contains(s.others, u) {
		s.others = append(s.others, u)
	}
	return unitName(u)
}

func (s *units) file() fileUnits {
	f := fileUnits{Primary: length(s.primary)}
	if len(s.lengths) > 0 {
		f.Other = &otherUnits{N: len(s.lengths)}
		for _, u := range s.lengths {
			f.Other.Units = append(f.Other.Units, length(u))
		}
	}
	if len(s.others) > 0 {
		f.User = &userDefined{N: len(s.others)}
		for _, u := range s.others {
			f.User.Units = append(f.User.Units, userUnit{wire.FromUnit(u).Kind().String(), unitName(u)})
		}
	}
	return f
}

func length(u gaugedv1.Unit) linearUnit {
	unit := wire.FromUnit(u)
	return linearUnit{"meter", unit.String(), metres(unit)}
}

// metres is how many metres a unit is; it is exact.
func metres(u gauge.Unit) string {
	factor := u.Factor().FloatString(mostDecimals)
	return strings.TrimRight(factor, "0")
}

// unitName is the symbol of a unit; that of a plain number is 1.
func unitName(u gaugedv1.Unit) string {
	unit := wire.FromUnit(u)
	if unit == gauge.One {
		return "1"
	}
	return unit.String()
}
