package procedure

import (
	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
)

// Reading is a reading as the evaluator needs it.
type Reading struct {
	Seq         uint64        `json:"seq,omitempty"`  // number in the history; 0 when not stored
	From        uint64        `json:"from,omitempty"` // the value is the reading Seq less this one
	Gauge       string        `json:"gauge,omitempty"`
	Measurement string        `json:"-"`
	Value       gauge.Length  `json:"value"`           // the lower end, where it is an interval
	Upper       *gauge.Length `json:"upper,omitempty"` // the upper end of an interval, as a feeler gives one
	Shown       string        `json:"shown"`
	Unit        gauge.Unit    `json:"unit"`
	Discarded   string        `json:"discarded,omitempty"` // why it does not count
}

// Fitted is the part that was fitted.
type Fitted struct {
	Place     string        `json:"place,omitempty"`
	Part      string        `json:"part"`
	Thickness *gauge.Length `json:"thickness,omitempty"` // measured, else nominal
	Measured  bool          `json:"measured,omitempty"`
}

// In returns the reading in unit u, a temperature as a difference. Lengths need no
// change; the others are rounded once to what is stored.
func (r Reading) In(u gauge.Unit) Reading {
	if r.Unit == u || u.Kind() == gauge.KindLength || r.Unit.Kind() != u.Kind() {
		return r
	}
	convert := func(l gauge.Length) gauge.Length {
		c, err := formula.InUnit(formula.Exact(l, r.Unit), u)
		if err != nil {
			return gauge.MaxLength
		}
		return c
	}
	r.Value = convert(r.Value)
	if r.Upper != nil {
		upper := convert(*r.Upper)
		r.Upper = &upper
	}
	return r
}

// Highest is the upper end of an interval, or the value itself.
func (r Reading) Highest() gauge.Length {
	if r.Upper != nil {
		return *r.Upper
	}
	return r.Value
}
