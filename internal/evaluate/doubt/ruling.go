package doubt

import (
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
)

// Ruling is how one result is held against its limits, and what is known of the
// gauges whose readings make it.
type Ruling struct {
	Guard    bool     // its limits are guarded by the uncertainty
	Stated   bool     // something is known of these gauges
	Unstated []string // measurements whose gauge's error is not known
}

// Complete reports whether the errors of all gauges that make the result are
// known.
func (r Ruling) Complete() bool { return r.Stated && len(r.Unstated) == 0 }

// Ruling looks what is known of the gauges that make a result: its formula and
// its limits count, what else is measured in the procedure does not. Limits are
// guarded when the error of every one of these gauges is known, or when the
// procedure says so.
func (d *Doubts) Ruling(x *formula.Expression, limits procedure.Bounds) Ruling {
	return d.RulingOf(d.Entering(x, limits.MinOf, limits.MaxOf))
}

// RulingOf looks what is known of the gauges of measurements.
func (d *Doubts) RulingOf(steps []*procedure.Step) Ruling {
	r := Ruling{}
	for _, s := range steps {
		a := d.Ability(*s)
		r.Stated = r.Stated || a.Stated()
		if a.Error == nil && a.Calibration == nil {
			r.Unstated = append(r.Unstated, s.Name)
		}
	}
	switch decide := d.P.Decide; {
	case decide.Simple:
	case decide.Stated:
		r.Guard = true
	default:
		r.Guard = r.Complete()
	}
	return r
}
