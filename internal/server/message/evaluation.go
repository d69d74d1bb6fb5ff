package message

import (
	"gauged/internal/evaluate"

	gaugedv1 "gauged/api/gauged/v1"
)

// Evaluation returns an evaluation with its lengths in the procedure's unit.
func Evaluation(p *evaluate.Procedure, e evaluate.Evaluation) *gaugedv1.Evaluation {
	w := writerOf(p)
	m := &gaugedv1.Evaluation{
		Outcome: Outcome(e.Outcome), Gap: w.optional(e.Gap), AllowedPlay: w.limits(e.Allowed), Aim: w.optional(e.Aim),
		Choice: w.optionalCandidate(e.Choice), Thinner: w.optionalCandidate(e.Thinner), Thicker: w.optionalCandidate(e.Thicker),
		Why: e.Why, Fitted: w.fitted(e.Fitted), Verification: w.verification(e.Verification),
		DecisionRule: e.DecisionRule, ProcedureId: e.ProcedureID, ProcedureHash: e.ProcedureHash, PartsHash: e.PartsHash,
		Word: word(p), Pack: w.pack(e.Pack), PackThinner: w.pack(e.PackThinner), PackThicker: w.pack(e.PackThicker),
	}
	if e.Window != nil {
		m.Window = w.limits(*e.Window)
	}
	for _, x := range e.Measurements {
		m.Measurements = append(m.Measurements, w.measurement(x))
	}
	for _, s := range e.Sums {
		m.Sums = append(m.Sums, &gaugedv1.Sum{Name: s.Name, Expression: s.Expression, Worked: s.Worked, Value: w.length(s.Value)})
	}
	for _, c := range e.Candidates {
		m.Candidates = append(m.Candidates, w.candidate(c))
	}
	for _, f := range e.Findings {
		m.Findings = append(m.Findings, &gaugedv1.Finding{Code: string(f.Code), Text: f.Text})
	}
	return m
}

func (w writer) measurement(x evaluate.Measurement) *gaugedv1.Measurement {
	m := &gaugedv1.Measurement{
		Name: x.Name, Repeats: uint32(x.Repeats), Value: w.optional(x.Value), Spread: w.optional(x.Spread),
		Agree: w.optional(x.Agree), Complete: x.Complete, AfterFitting: x.After,
	}
	if sd, ok := x.StdDev(); ok {
		m.StandardDeviation = &sd
	}
	for _, r := range x.Readings {
		m.Readings = append(m.Readings, &gaugedv1.TakenReading{
			Seq: r.Seq, GaugeId: r.Gauge, Value: shown(r.Value, r.Shown, r.Unit), Discarded: r.Discarded,
		})
	}
	return m
}

func (w writer) candidate(c evaluate.Candidate) *gaugedv1.Candidate {
	return &gaugedv1.Candidate{Grade: w.grade(c.Grade), Play: w.optional(c.Play), Fits: c.Fits, PassedOver: c.PassedOver}
}

func (w writer) pack(p *evaluate.Pack) *gaugedv1.Pack {
	if p == nil {
		return nil
	}
	m := &gaugedv1.Pack{Thickness: w.length(p.Thickness), Play: w.optional(p.Play), Name: p.Name()}
	for _, g := range p.Pieces {
		m.Pieces = append(m.Pieces, w.grade(g))
	}
	return m
}

func (w writer) optionalCandidate(c *evaluate.Candidate) *gaugedv1.Candidate {
	if c == nil {
		return nil
	}
	return w.candidate(*c)
}

func (w writer) fitted(f *evaluate.Fitted) *gaugedv1.FittedPart {
	if f == nil {
		return nil
	}
	return &gaugedv1.FittedPart{Part: f.Part, Thickness: w.optional(f.Thickness), Measured: f.Measured}
}

func (w writer) verification(v *evaluate.Verification) *gaugedv1.Verification {
	if v == nil {
		return nil
	}
	return &gaugedv1.Verification{
		Measured: w.length(v.Measured), Predicted: w.optional(v.Predicted),
		Difference: w.optional(v.Difference), Agrees: v.Agrees,
	}
}
