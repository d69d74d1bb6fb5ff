package check

import (
	"slices"

	"gauged/internal/gauge"
)

// The bounds of FarOff; ours.
const (
	farOffMost  = gauge.Length(1e9) // 1 mm
	farOffLeast = gauge.Length(1e8) // 0.1 mm
)

// FarOff reports whether a reading at a master is so far from its value that another
// master, another unit or a preset is likelier than an error of the gauge: by more than
// a tenth of the value, but by 0.1 mm at least, and by more than 1 mm at zero and in
// any case. It decides nothing: somebody is asked.
func FarOff(reading, value gauge.Length) bool {
	bound := farOffMost
	if value != 0 {
		bound = min(max(value.Abs()/10, farOffLeast), farOffMost)
	}
	return (reading - value).Abs() > bound
}

// AskBack refuses the first reading that is far off the master; nil: none is.
func (p Point) AskBack() error {
	i := slices.IndexFunc(p.Readings, func(l gauge.Length) bool { return FarOff(l, p.Master.Value) })
	if i < 0 {
		return nil
	}
	return gauge.Refused("refusal.check.far-off", gauge.Text("master", p.Master.ID), Shown("given", p.Readings[i]), Shown("value", p.Master.Value))
}
