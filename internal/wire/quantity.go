package wire

import (
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// writer writes lengths as one procedure or part family shows them.
type writer struct {
	unit gauge.Unit
	text func(gauge.Length) string
}

func writerOf(p *procedure.Procedure) writer { return writer{p.Unit, p.Text} }

// in writes values in another unit, an unknown one as in the procedure's.
func (w writer) in(u gauge.Unit) writer {
	if u == w.unit || !u.Known() {
		return w
	}
	return writer{u, func(l gauge.Length) string { return l.TextIn(u) }}
}

// beside writes values as they stand beside limits, as far as a value tells.
func (w writer) beside(l procedure.Limits, value *gauge.Length) writer {
	if value != nil {
		w.text = l.Beside(w.text, w.unit, *value)
	}
	return w
}

// between is absent when there is no interval.
func (w writer) between(l *procedure.Limits) *gaugedv1.Range {
	if l == nil {
		return nil
	}
	return w.limits(*l)
}

func (w writer) length(l gauge.Length) *gaugedv1.Quantity {
	return Quantity(l, w.text(l), w.unit)
}

// optional is absent when there is no length.
func (w writer) optional(l *gauge.Length) *gaugedv1.Quantity {
	if l == nil {
		return nil
	}
	return w.length(*l)
}

// limits is absent when neither end is limited.
func (w writer) limits(l procedure.Limits) *gaugedv1.Range {
	if !l.Limited() {
		return nil
	}
	return &gaugedv1.Range{Min: w.optional(l.Min), Max: w.optional(l.Max)}
}

// Quantity is a value in a unit, with its digits; without a unit it is a mark.
func Quantity(l gauge.Length, text string, u gauge.Unit) *gaugedv1.Quantity {
	q := &gaugedv1.Quantity{Text: text, Unit: Unit(u)}
	switch u.Kind() {
	case gauge.KindNone:
	case gauge.KindLength:
		q.Exact = &gaugedv1.Quantity_Picometres{Picometres: int64(l)}
	default:
		q.Exact = &gaugedv1.Quantity_Billionths{Billionths: int64(l)}
	}
	return q
}

// FromQuantity returns a value in the steps of its unit: picometres, or billionths of
// the unit where it is no unit of length. It is 0 for nil and for a mark.
func FromQuantity(q *gaugedv1.Quantity) gauge.Length {
	if b, ok := q.GetExact().(*gaugedv1.Quantity_Billionths); ok {
		return gauge.Length(b.Billionths)
	}
	return gauge.Length(q.GetPicometres())
}

// Estimate is a length that was estimated, in metres, with three digits in a unit of length.
func Estimate(metres float64, u gauge.Unit) *gaugedv1.Quantity {
	u = inUnit(u)
	l := gauge.OfMetres(metres)
	return Quantity(l, evaluate.TextOfUncertainty(l, u), u)
}

// mostDecimals shows a picometre in every unit of the contract.
const mostDecimals = 12

// decimals returns how many decimals show every given length without rounding.
func decimals(u gauge.Unit, lengths ...gauge.Length) int {
	n := 0
	for _, l := range lengths {
		n = l.Decimals(u, n, mostDecimals)
	}
	return n
}

// Time is absent for the zero time.
func Time(t time.Time) *timestamppb.Timestamp {
	if t.IsZero() {
		return nil
	}
	return timestamppb.New(t)
}
