package wire

import (
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	gaugedv1 "gauged/api/gauged/v1"
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

// between is absent when there is no interval.
func (w writer) between(l *procedure.Limits) *gaugedv1.Range {
	if l == nil {
		return nil
	}
	return w.limits(*l)
}

func (w writer) length(l gauge.Length) *gaugedv1.Length {
	return &gaugedv1.Length{Picometres: int64(l), Text: w.text(l), Unit: Unit(w.unit)}
}

// optional is absent when there is no length.
func (w writer) optional(l *gauge.Length) *gaugedv1.Length {
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

// Shown is a length with the digits and the unit that a gauge showed.
func Shown(l gauge.Length, text string, u gauge.Unit) *gaugedv1.Length {
	return &gaugedv1.Length{Picometres: int64(l), Text: text, Unit: Unit(u)}
}

// mostDecimals shows a picometre in every unit of the contract.
const mostDecimals = 12

// decimals returns how many decimals show every given length without rounding.
func decimals(u gauge.Unit, lengths ...gauge.Length) int {
	n := 0
	for _, l := range lengths {
		for n < mostDecimals && !l.Exact(u, n) {
			n++
		}
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
