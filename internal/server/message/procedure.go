package message

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
		Measure: w.steps(p.Measure), Gap: p.Gap.String(), AllowedPlay: w.limits(p.Allowed.Limits), Parts: first(p.FamilyIDs()), OtherParts: rest(p.FamilyIDs()),
		Verify: w.steps(p.Verify), Hash: p.Hash, Word: word(p, ""), MadeToSize: p.ToSize, Decide: p.Decide.String(),
	}
	for _, place := range p.Places {
		m.Places = append(m.Places, &gaugedv1.Place{
			Name: place.Name, Title: place.Title, MadeToSize: place.ToSize, Parts: place.Parts,
			Formula: cmp.Or(place.Gap.String(), place.Thickness.String()),
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

// word is how the closing dimension of a place is called.
func word(p *procedure.Procedure, place string) string {
	one := p.Place
	if place, ok := p.PlaceNamed(place); ok {
		one = place
	}
	return string(cmp.Or(one.Word, procedure.WordResult))
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
			m.Capture = string(s.Moving.Kind)
		}
		messages[i] = m
	}
	return messages
}

// Families returns the part families that a procedure chooses from: the first,
// nil for none, and the others.
func Families(p *procedure.Procedure, families procedure.Families) (one *gaugedv1.PartFamily, others []*gaugedv1.PartFamily) {
	ids := p.FamilyIDs()
	for _, id := range rest(ids) {
		others = append(others, Family(families[id]))
	}
	return Family(families[first(ids)]), others
}

func first(list []string) string {
	if len(list) == 0 {
		return ""
	}
	return list[0]
}

func rest(list []string) []string {
	if len(list) == 0 {
		return nil
	}
	return list[1:]
}

// Family returns a part family, nil for none. Its lengths are shown with as
// many decimals as the finest of them needs.
func Family(f *procedure.Family) *gaugedv1.PartFamily {
	if f == nil {
		return nil
	}
	var lengths []gauge.Length
	for _, g := range f.Grades {
		for _, l := range []*gauge.Length{g.Thickness, g.Tolerance, g.Plus, g.Minus, g.Serves.Min, g.Serves.Max} {
			if l != nil {
				lengths = append(lengths, *l)
			}
		}
	}
	n := decimals(f.Unit, lengths...)
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
