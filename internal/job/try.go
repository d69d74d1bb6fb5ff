package job

import (
	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Trial is what a job's readings come to under other files.
type Trial struct {
	Evaluation evaluate.Evaluation
	LeftOut    []gauge.Message // readings and parts that do not belong there any more, and why
}

// Try evaluates the readings and the fitted parts of a job with another version
// of its procedure and part family. Nothing is stored.
func (j *Job) Try(p *procedure.Procedure, parts procedure.Parts) (Trial, error) {
	var t Trial
	in := j.Input(nil)
	in.Fitted = nil
	for _, r := range j.Counting() {
		again, err := read(p, r)
		if err != nil {
			t.LeftOut = append(t.LeftOut, gauge.Say("notice.left-out.reading", gauge.Text("measurement", r.Measurement), gauge.Shown("reading", r.Shown, r.Unit), gauge.Because("why", err)))
			continue
		}
		in.Readings = append(in.Readings, again)
	}
	for _, fitted := range j.Fitted {
		if _, ok := p.PlaceNamed(fitted.Place); !ok {
			t.LeftOut = append(t.LeftOut, gauge.Say("notice.left-out.part", gauge.Text("part", fitted.Part)))
			continue
		}
		in.Fitted = append(in.Fitted, fitted)
	}
	var err error
	t.Evaluation, err = evaluate.Evaluate(p, parts, in)
	return t, err
}

// read takes a reading of one procedure as another would take it.
func read(p *procedure.Procedure, r procedure.Reading) (procedure.Reading, error) {
	step, _, ok := p.Step(r.Measurement)
	if !ok {
		return r, NoMeasurement(p, r.Measurement)
	}
	if len(step.Codes) == 0 && r.Upper == nil && r.Unit.Kind() == step.Unit.Kind() {
		return r, p.AcceptUnit(r.Measurement, r.Shown, r.Unit)
	}
	u := r.Unit
	if len(step.Codes) > 0 {
		u = gauge.UnitUnknown // a mark was stored in the unit of what it stands for
	}
	typed, err := p.Typed(r.Measurement, r.Shown, u)
	typed.Seq, typed.From, typed.Gauge, typed.Discarded = r.Seq, r.From, r.Gauge, r.Discarded
	return typed, err
}

// NoMeasurement refuses the name of a measurement that a procedure does not have.
func NoMeasurement(p *procedure.Procedure, name string) error {
	return gauge.WrongInput("refusal.job.no-measurement", gauge.Text("procedure", p.ID), gauge.Text("measurement", name))
}
