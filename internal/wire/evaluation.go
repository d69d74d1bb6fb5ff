package wire

import (
	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/evaluate"
	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// Evaluation returns an evaluation, each value in the unit in which the
// procedure shows it.
func Evaluation(p *procedure.Procedure, e evaluate.Evaluation) *gaugedv1.Evaluation {
	w := writerOf(p)
	m := &gaugedv1.Evaluation{
		Outcome: Outcome(e.Outcome), Fits: w.fits(p, &e), Together: w.together(e.Together),
		Verification: w.verification(e.Verification, p.PredictedWithin == nil), DecisionRule: Message(e.DecisionRule),
		ProcedureId: e.ProcedureID, ProcedureHash: e.ProcedureHash,
	}
	if e.PartsHash != "" {
		m.PartFamilyHashes = append([]string{e.PartsHash}, e.OtherParts...)
	}
	for _, x := range e.Measurements {
		m.Measurements = append(m.Measurements, w.measurement(x))
	}
	for _, s := range e.Sums {
		in := w.in(s.Unit)
		m.Sums = append(m.Sums, &gaugedv1.Sum{Name: s.Name, Expression: s.Expression, Worked: s.Worked, Value: in.length(s.Value), Between: in.between(s.Between)})
	}
	for _, j := range e.Judgements {
		m.Judgements = append(m.Judgements, w.judgement(j))
	}
	for _, b := range e.Budgets {
		m.Budgets = append(m.Budgets, w.budget(b))
	}
	m.Findings = findings(e.Findings)
	return m
}

func findings(all []evaluate.Finding) (m []*gaugedv1.Finding) {
	for _, f := range all {
		m = append(m, &gaugedv1.Finding{Code: string(f.Code), Message: Message(f.Says)})
	}
	return m
}

// fits returns what follows for each place, whether it has been worked out yet or not.
func (w writer) fits(p *procedure.Procedure, e *evaluate.Evaluation) (all []*gaugedv1.Fit) {
	for _, place := range places(p) {
		fit := &evaluate.Fit{Place: place.Name, Title: place.Title, Allowed: place.Allowed.Limits}
		for _, f := range e.EachFit() {
			if f.Place == place.Name {
				fit = f
			}
		}
		all = append(all, w.fit(place, fit))
	}
	return all
}

// fit returns what follows for one place.
func (w writer) fit(p procedure.Place, f *evaluate.Fit) *gaugedv1.Fit {
	m := &gaugedv1.Fit{
		Place: f.Place, Title: f.Title, GapBetween: w.between(f.Between),
		AllowedPlay: w.limits(f.Allowed), Window: w.between(f.Window), Aim: w.optional(f.Aim),
		Choice: w.optionalCandidate(f, f.Choice), Thinner: w.optionalCandidate(f, f.Thinner), Thicker: w.optionalCandidate(f, f.Thicker),
		Pack: w.pack(f, f.Pack), PackThinner: w.pack(f, f.PackThinner), PackThicker: w.pack(f, f.PackThicker),
		Why: Message(f.Why), Fitted: w.fitted(f.Fitted), ClosingDimension: closing(p), Gap: w.optional(f.Gap), Waits: f.Waits, AlsoRight: f.Also, Kept: f.Kept, FinalPart: w.final(f.Final), DecisionRule: Message(f.Rule), GapWorst: w.between(f.Worst), Unstated: f.Unstated, Predicted: w.predicted(f),
	}
	for _, c := range f.Candidates {
		m.Candidates = append(m.Candidates, w.candidate(f, c))
	}
	return m
}

func (w writer) predicted(f *evaluate.Fit) *gaugedv1.Prediction {
	p := f.Predicted
	if p == nil {
		return nil
	}
	w = w.beside(f.Allowed, &p.Play)
	return &gaugedv1.Prediction{Play: w.length(p.Play), Between: w.between(p.Between), Worst: w.between(p.Worst), Probability: probability(p.Probability)}
}

func (w writer) final(f *evaluate.Final) *gaugedv1.FinalPart {
	if f == nil {
		return nil
	}
	return &gaugedv1.FinalPart{Add: w.length(f.Add), Thickness: w.length(f.Thickness), Part: f.Part}
}

func (w writer) together(t *evaluate.Total) *gaugedv1.PlacesTotal {
	if t == nil {
		return nil
	}
	return &gaugedv1.PlacesTotal{Wanted: w.length(t.Wanted), Within: w.length(t.Within), Thickness: w.optional(t.Thickness), Why: Message(t.Why)}
}

func (w writer) measurement(x evaluate.Measurement) *gaugedv1.Measurement {
	in := w.in(x.Unit)
	spread := in.beside(procedure.Limits{Max: x.Agree}, x.Spread)
	m := &gaugedv1.Measurement{
		Name: x.Name, Repeats: uint32(x.Repeats), Value: in.optional(x.Value), Spread: spread.optional(x.Spread),
		Agree: spread.optional(x.Agree), Complete: x.Complete, AfterFitting: x.After, Between: in.between(x.Between), Mark: x.Mark,
	}
	if sd, ok := x.StdDev(); ok {
		l := gauge.OfMetres(sd) // in the steps of the unit, whatever its kind
		m.StandardDeviation = Quantity(l, evaluate.TextOfUncertainty(l, in.unit), in.unit)
	}
	for _, r := range x.Readings {
		m.Readings = append(m.Readings, taken(r))
	}
	return m
}

func taken(r procedure.Reading) *gaugedv1.TakenReading {
	m := &gaugedv1.TakenReading{
		Seq: r.Seq, GaugeId: r.Gauge, Value: Quantity(r.Value, r.Shown, r.Unit), DiscardReason: r.Discarded, FromSeq: r.From,
	}
	if r.Upper != nil {
		m.Upper = Quantity(*r.Upper, r.Upper.Text(r.Unit, decimals(r.Unit, *r.Upper)), r.Unit)
	}
	return m
}

func (w writer) judgement(j evaluate.Judgement) *gaugedv1.Judgement {
	in := w.in(j.Unit)
	in.text = j.Beside(in.text)
	m := &gaugedv1.Judgement{
		Name: j.Name, Title: j.Title, Mark: j.Mark, Wanted: j.Wanted, Between: in.between(j.Between), Allowed: in.limits(j.Allowed),
		Outcome: Outcome(j.Outcome), Probability: probability(j.Probability), AfterFitting: j.After, DecisionRule: Message(j.Rule), Worst: in.between(j.Worst), Unstated: j.Unstated,
	}
	if j.Mark == "" {
		m.Value = in.length(j.Value)
	}
	return m
}

func (w writer) budget(b doubt.Budget) *gaugedv1.Budget {
	in := writer{b.Unit, func(l gauge.Length) string { return evaluate.TextOfUncertainty(l, b.Unit) }}
	m := &gaugedv1.Budget{
		Result: b.Of, StandardUncertainty: in.length(b.Standard), DegreesOfFreedom: float64(b.Freedom), K: float(b.K), Coverage: *probability(&b.Coverage), ExpandedUncertainty: in.length(b.Expanded), Unstated: b.Unstated,
	}
	if b.Around != nil {
		m.Around = w.length(*b.Around)
	}
	for _, c := range b.Contributions {
		m.Contributions = append(m.Contributions, &gaugedv1.Contribution{
			Source: c.Source, Distribution: Contract(distributions, uncertainty.Distribution(c.Distribution)), StandardUncertainty: in.length(c.Standard),
			DegreesOfFreedom: float64(c.Freedom), Share: *probability(&c.Share),
		})
	}
	if s := b.Simulated; s != nil {
		m.Simulation = &gaugedv1.Simulation{
			Draws: uint32(s.Draws), StandardUncertainty: in.length(s.Standard), Low: in.length(s.Low), High: in.length(s.High), Decides: s.Counts,
		}
	}
	return m
}

// float returns a plain number, which is kept in billionths.
func float(l gauge.Length) float64 { return float64(l) / float64(gauge.One.Size()) }

// probability is absent when there is none.
func probability(p *evaluate.Probability) *float64 {
	if p == nil {
		return nil
	}
	f := float64(*p) / 1e4
	return &f
}

func (w writer) candidate(f *evaluate.Fit, c evaluate.Candidate) *gaugedv1.Candidate {
	w = w.beside(f.Allowed, c.Play)
	return &gaugedv1.Candidate{
		Grade: w.grade(c.Grade), Play: w.optional(c.Play), Fits: c.Fits, PassedOver: Message(c.PassedOver),
		Between: w.between(c.Between), Probability: probability(c.Probability), Worst: w.between(c.Worst),
	}
}

func (w writer) pack(f *evaluate.Fit, p *evaluate.Pack) *gaugedv1.Pack {
	if p == nil {
		return nil
	}
	w = w.beside(f.Allowed, p.Play)
	m := &gaugedv1.Pack{Thickness: w.length(p.Thickness), Play: w.optional(p.Play), Name: p.Name(), Worst: w.between(p.Worst), Probability: probability(p.Probability)}
	for _, g := range p.Pieces {
		m.Pieces = append(m.Pieces, w.grade(g))
	}
	return m
}

func (w writer) optionalCandidate(f *evaluate.Fit, c *evaluate.Candidate) *gaugedv1.Candidate {
	if c == nil {
		return nil
	}
	return w.candidate(f, *c)
}

func (w writer) fitted(f *procedure.Fitted) *gaugedv1.FittedPart {
	if f == nil {
		return nil
	}
	return &gaugedv1.FittedPart{Place: f.Place, Part: f.Part, Thickness: w.optional(f.Thickness), Measured: f.Measured}
}

func (w writer) verification(v *evaluate.Verification, byUncertainty bool) *gaugedv1.Verification {
	if v == nil {
		return nil
	}
	return &gaugedv1.Verification{
		Measured: w.length(v.Measured), Between: w.between(v.Between), Predicted: w.optional(v.Predicted), PredictedBetween: w.between(v.PredictedBetween),
		Difference: w.optional(v.Difference), Agrees: v.Agrees, Uncertainty: w.optional(v.Uncertainty),
		ByUncertainty: v.Agrees != nil && byUncertainty,
	}
}

// FittedPart returns a part that was fitted under a procedure.
func FittedPart(p *procedure.Procedure, f *procedure.Fitted) *gaugedv1.FittedPart {
	return writerOf(p).fitted(f)
}

// Judgement returns a result of a procedure.
func Judgement(p *procedure.Procedure, j evaluate.Judgement) *gaugedv1.Judgement {
	return writerOf(p).judgement(j)
}
