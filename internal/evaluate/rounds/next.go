package rounds

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Round is what a round of a job leaves behind for the next one.
type Round struct {
	Number   int                 // from 1
	Fitted   []procedure.Fitted  // the parts that are in; Thickness as it was measured, else nominal
	Readings []procedure.Reading // of the round; of the proof those that count
	Total    *gauge.Length       // that was wanted of places that are chosen together; nil: none is kept
}

// Next is the procedure of the round after r, with its readings: those that stand,
// those of the proof under names of their own, such as play_1 for what play was in
// round 1, and the parts that are in as fitted_1, measured or as stated. p
// is the procedure of the first round. renamed gives the name of each step
// of the proof in it.
//
// Where the file does not say how measurements follow, the gap of a place is what
// is in, and the play that was measured: gap = fitted_1 + play_1.
func Next(p *procedure.Procedure, r Round, parts procedure.Parts) (next *procedure.Procedure, readings []procedure.Reading, renamed map[string]string, err error) {
	if err := p.GoesOn(); err != nil {
		return nil, nil, nil, err
	}
	b := &nextRound{first: p, r: r, names: map[string]string{}, scope: p.ProofScope()}
	copied := *p
	b.p = &copied
	b.p.Units = maps.Clone(p.Units)
	b.p.KeepWhen, b.p.Examples, b.p.Values, b.p.Carried = nil, nil, nil, nil
	b.p.Constants = slices.Clone(p.Constants)
	var of []procedure.Step
	for _, s := range p.Verify {
		of = append(of, b.step(s))
	}
	for _, f := range r.Fitted {
		of = append(of, b.part(f, parts)...)
	}
	b.values()
	if len(p.Rounds.Next) == 0 {
		err = b.usual()
	} else {
		err = b.stated()
	}
	if err != nil {
		return nil, nil, nil, err
	}
	b.p.Measure = append(of, b.p.Measure...)
	b.p.Values = append(b.p.Values, p.Values...)
	if err := b.keepTotal(); err != nil {
		return nil, nil, nil, err
	}
	prune(b.p, parts)
	renamed = map[string]string{}
	for _, s := range p.Verify {
		renamed[s.Name] = b.names[s.Name]
	}
	if r.Number == 1 { // later rounds have them under these names
		for old, name := range b.total {
			renamed[old] = name
		}
	}
	return b.p, b.readings(), renamed, nil
}

// nextRound is the procedure of a round under construction.
type nextRound struct {
	first   *procedure.Procedure
	p       *procedure.Procedure
	r       Round
	names   map[string]string // of what the proof knows, in the next round
	scope   formula.Scope
	total   map[string]string   // names of what makes a total that is kept
	carries []procedure.Reading // thicknesses of parts
}

// readings are those of the next round. What it measures no more is left out, and so
// is what was read under a name that a step of the proof has now.
func (b *nextRound) readings() (readings []procedure.Reading) {
	carried := b.carries
	keptAs := slices.Collect(maps.Values(b.total))
	for _, r := range b.r.Readings {
		_, after, ok := b.first.Step(r.Measurement)
		kept, first := b.total[r.Measurement]
		switch {
		case slices.Contains(keptAs, r.Measurement):
			readings = append(readings, r)
		case first && b.r.Number == 1:
			r.Measurement = kept
			readings = append(readings, r)
		case after:
			r.Measurement = b.names[r.Measurement]
			carried = append(carried, r)
		case ok && !b.follows(r.Measurement):
			readings = append(readings, r)
		}
	}
	readings = append(readings, carried...)
	return slices.DeleteFunc(readings, func(r procedure.Reading) bool { _, _, ok := b.p.Step(r.Measurement); return !ok })
}

// name is what something of this round is called in the next.
func (b *nextRound) name(of string) string {
	name := of + "_" + strconv.Itoa(b.r.Number)
	for _, taken := b.p.Units[name]; taken; _, taken = b.p.Units[name] {
		name += "_"
	}
	return name
}

// know takes up what has a name in the next round.
func (b *nextRound) know(old, name string, u gauge.Unit) {
	b.names[old], b.p.Units[name] = name, u
	b.scope[name] = b.scope[old]
}

// step is a step of the proof as the next round carries it.
func (b *nextRound) step(s procedure.Step) procedure.Step {
	name := b.name(s.Name)
	s.Drawing = nil // the file has none under this name
	if before, ok := b.first.StandsFor(s.Name); ok {
		name = before.Name
		s.Take, s.Drop, s.Plausible, s.Play, s.LeastPlay = before.Take, before.Drop, before.Plausible, before.Play, before.LeastPlay
		s.Drawing = before.Drawing
	}
	b.know(s.Name, name, s.Unit)
	s.Name, s.Round = name, b.r.Number
	s.When = slices.Clone(s.When)
	for i, c := range s.When {
		s.When[i] = b.mark(c)
	}
	return s
}

// mark is a case with the name that its step has in the next round.
func (b *nextRound) mark(c procedure.Case) procedure.Case {
	if name, ok := b.names[c.Step]; ok {
		c.Step = name
	}
	return c
}

// title is what something of this round is called in the next, for people.
func (b *nextRound) title(of string) string {
	return procedure.Step{Title: of, Round: b.r.Number}.Titled()
}

// value is an intermediate result of the next round, from text in its names.
func (b *nextRound) value(name, title string, u gauge.Unit, text string, of formula.Dimension) error {
	x, err := formula.Parse(text, b.p.Unit, b.scope, &of)
	if err != nil {
		return fmt.Errorf("procedure %s, round %d: %s = %s: %w", b.p.ID, b.r.Number+1, name, text, err)
	}
	b.p.Values = append(b.p.Values, procedure.Named{Name: name, Title: title, Unit: u, Formulas: []procedure.Formula{{Expression: x}}})
	b.p.Units[name] = u
	b.scope[name] = formula.Meaning{Of: of}
	return nil
}

// inNames is a formula of the proof in the names of the next round.
func (b *nextRound) inNames(x *formula.Expression) string { return renamed(x, b.names) }

// renamed is a formula in other names.
func renamed(x *formula.Expression, names map[string]string) string {
	return x.Worked(
		func(name string, _ bool) string { return cmp.Or(names[name], name) },
		func(text string) string { return text })
}

// values carries what the proof computes.
func (b *nextRound) values() {
	for _, n := range b.first.Proven {
		b.named(n)
	}
	for _, j := range b.first.Proof {
		if _, known := b.names[j.Name]; !known && j.Is == "" {
			b.named(j.Named)
		}
	}
}

func (b *nextRound) named(n procedure.Named) {
	name := b.name(n.Name)
	next := procedure.Named{Name: name, Title: b.title(n.Title), Unit: n.Unit}
	for _, f := range n.Formulas {
		x, err := formula.Parse(b.inNames(f.Expression), b.p.Unit, b.scope, &f.Expression.Of)
		if err != nil {
			return // whatever needs it says so
		}
		next.Formulas = append(next.Formulas, procedure.Formula{Case: b.mark(f.Case), Expression: x})
	}
	b.know(n.Name, name, n.Unit)
	b.p.Values = append(b.p.Values, next)
}

// usual is the sum of one place where the file says nothing: what is in, and the
// play that was measured; a preload is a negative play.
func (b *nextRound) usual() error {
	play := b.inNames(b.first.VerifyPlay)
	if _, one := b.scope[play]; !one {
		name := b.name(string(procedure.WordPlay))
		if err := b.value(name, b.title(string(procedure.WordPlay)), b.p.Unit, play, formula.Length); err != nil {
			return err
		}
		play = name
	}
	in, ok := b.names[formula.NameFitted]
	if !ok {
		return gauge.Refused("refusal.round.no-thickness")
	}
	gap, err := formula.Parse(in+" + "+play, b.p.Unit, b.scope, &formula.Length)
	if err != nil {
		return err
	}
	b.p.Gap = gap
	b.p.Carried = []procedure.Carried{{Name: play, Unit: b.p.Unit, Play: procedure.PlayFelt, Tight: b.first.Word == procedure.WordPreload}}
	return nil
}

// stated computes what the file says, in the place of what was measured.
func (b *nextRound) stated() error {
	b.p.Measure = slices.Clone(b.p.Measure)
	for _, f := range b.first.Rounds.Next {
		i := slices.IndexFunc(b.p.Measure, func(s procedure.Step) bool { return s.Name == f.Name })
		s := b.p.Measure[i]
		b.p.Measure = slices.Delete(b.p.Measure, i, i+1)
		if b.names[f.Of.String()] == f.Name {
			continue
		}
		if err := b.value(f.Name, s.Title, s.Unit, b.inNames(f.Of), f.Of.Of); err != nil {
			return err
		}
		if !b.measured(f.Of) {
			continue // such as a preload that is known: nobody felt it
		}
		b.p.Carried = append(b.p.Carried, procedure.Carried{Name: f.Name, Unit: s.Unit, Play: s.Play, Least: s.LeastPlay, Plausible: s.Plausible})
	}
	return nil
}

// measured reports whether a formula uses what the proof measured.
func (b *nextRound) measured(x *formula.Expression) bool {
	return slices.ContainsFunc(x.Names(), func(name string) bool {
		_, _, step := b.first.Step(name)
		return step || b.first.FormulasOf(name) != nil
	})
}
