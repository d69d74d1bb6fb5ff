package wire

import (
	"cmp"
	"strings"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"

	gaugedv1 "gauged/api/gauged/v1"
)

// Procedure returns a procedure.
func Procedure(p *procedure.Procedure) *gaugedv1.Procedure {
	w := writerOf(p)
	m := &gaugedv1.Procedure{
		Id: p.ID, Title: p.Title, Edition: p.Edition, Source: p.Source, Unit: Unit(p.Unit), Cautions: p.Cautions,
		Measure: w.steps(p.Measure), Verify: w.steps(p.Verify), Hash: p.Hash, DecisionRule: Message(declared(p.Decide)),
	}
	for _, place := range places(p) {
		m.Places = append(m.Places, &gaugedv1.Place{
			Name: place.Name, Title: place.Title, MadeToSize: place.ToSize, PartFamilyId: place.Parts,
			Formula: cmp.Or(place.Gap.String(), place.Thickness.String()), AllowedPlay: w.limits(place.Allowed.Limits), ClosingDimension: closing(place),
		})
	}
	m.Judged = append(judged(p, p.Judge, false), judged(p, p.Proof, true)...)
	if p.GoesOn() == nil {
		m.Rounds = &gaugedv1.Rounds{Most: uint32(p.Rounds.Most)}
		for _, f := range p.Rounds.Next {
			m.Rounds.Next = append(m.Rounds.Next, &gaugedv1.Follows{Measurement: f.Name, Formula: f.Of.String()})
		}
	}
	return m
}

func judged(p *procedure.Procedure, judges []procedure.Judge, after bool) []*gaugedv1.JudgedResult {
	var results []*gaugedv1.JudgedResult
	for _, j := range judges {
		results = append(results, &gaugedv1.JudgedResult{Name: j.Name, Title: j.Title, Formula: j.Formula(), Limits: p.LimitsOf(j), AfterFitting: after})
	}
	return results
}

// places are those where a part goes; where none does and a sum is judged, one that
// stands for the sum.
func places(p *procedure.Procedure) []procedure.Place {
	if all := p.EachPlace(); len(all) > 0 {
		return all
	}
	if p.Gap == nil && p.Thickness == nil {
		return nil
	}
	return []procedure.Place{p.Place}
}

// declared is the rule that a procedure states; none where it states none.
func declared(d procedure.Decide) gauge.Message {
	switch {
	case !d.Stated:
		return gauge.Message{}
	case d.Simple:
		return gauge.Say("rule.simple")
	}
	return gauge.Say("rule.guard", procedure.Chance("level", d.Required))
}

// closing is how the closing dimension of a place is called.
func closing(p procedure.Place) gaugedv1.ClosingDimension {
	return Contract(closings, cmp.Or(p.Word, procedure.WordResult))
}

func (w writer) steps(steps []procedure.Step) []*gaugedv1.MeasurementStep {
	messages := make([]*gaugedv1.MeasurementStep, len(steps))
	for i, s := range steps {
		in := w.in(s.Unit)
		m := &gaugedv1.MeasurementStep{
			Name: s.Name, Title: s.Titled(), How: strings.TrimSpace(s.How + " " + s.PlayNote()), Repeats: uint32(s.Repeats), Instrument: s.Instrument,
			Agree: in.optional(s.Agree), Plausible: in.limits(s.Plausible), Unit: Unit(s.Unit),
			When: s.Cases(), MayBeUnreadable: s.Unreadable != nil,
		}
		for _, c := range s.Codes {
			m.Codes = append(m.Codes, c.Mark)
		}
		if s.Moving != nil {
			m.Capture = Capture(s.Moving.Kind)
		}
		messages[i] = m
	}
	return messages
}

// Families returns the part families that a procedure chooses from.
func Families(p *procedure.Procedure, families procedure.Families) (all []*gaugedv1.PartFamily) {
	for _, id := range p.FamilyIDs() {
		if f := families[id]; f != nil {
			all = append(all, family(p, f))
		}
	}
	return all
}

// family returns a part family. Its lengths are shown with the decimals of the procedure, as
// where its parts are candidates, and with as many as the finest of them needs at least.
func family(p *procedure.Procedure, f *procedure.Family) *gaugedv1.PartFamily {
	var lengths []gauge.Length
	for _, g := range f.Grades {
		for _, l := range []*gauge.Length{g.Thickness, g.Tolerance, g.Plus, g.Minus, g.Serves.Min, g.Serves.Max} {
			if l != nil {
				lengths = append(lengths, *l)
			}
		}
	}
	n := decimals(f.Unit, lengths...)
	if f.Unit == p.Unit {
		n = max(n, p.Decimals)
	}
	w := writer{f.Unit, func(l gauge.Length) string { return l.Text(f.Unit, n) }}
	m := &gaugedv1.PartFamily{Id: f.ID, Title: f.Title, Hash: f.Hash}
	for _, g := range f.Grades {
		m.Grades = append(m.Grades, w.grade(g))
	}
	return m
}

func (w writer) grade(g procedure.Grade) *gaugedv1.Grade {
	m := &gaugedv1.Grade{
		Part: g.Part, Mark: g.Mark, Thickness: w.optional(g.Thickness),
		Tolerance: w.optional(g.Tolerance), Plus: w.optional(g.Plus), Minus: w.optional(g.Minus), Serves: w.limits(g.Serves),
	}
	if g.Stock != nil {
		stock := uint32(*g.Stock)
		m.Stock = &stock
	}
	return m
}
