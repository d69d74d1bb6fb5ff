package procedure

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
)

// Round is what a round of a job leaves behind for the next one.
type Round struct {
	Number   int           // from 1
	Fitted   []Fitted      // the parts that are in; Thickness as it was measured, else nominal
	Readings []Reading     // of the round; of the proof those that count
	Total    *gauge.Length // that was wanted of places that are chosen together; nil: none is kept
}

// GoesOn says why no round can follow from the proof of another; nil
// when one can.
func (p *Procedure) GoesOn() error {
	of := gauge.Text("procedure", p.ID)
	switch {
	case len(p.Verify) == 0:
		return gauge.Refused("refusal.round.no-verify", of)
	case len(p.Rounds.Next) > 0:
		return nil
	case len(p.Places) > 0:
		return gauge.Refused("refusal.round.places", of)
	case p.Gap == nil || p.Choose.Aim == AimTable || p.Choose.Aim.LooksUp():
		return gauge.Refused("refusal.round.not-a-gap", of)
	case p.VerifyPlay == nil:
		return gauge.Refused("refusal.round.no-play", of)
	}
	return nil
}

// Next is the procedure of the round after r, with its readings: those that stand,
// those of the proof under names of their own, such as play_1 for what play was in
// round 1, and the parts that are in as fitted_1, measured or as stated. The
// receiver is the procedure of the first round. renamed gives the name of each step
// of the proof in it.
//
// Where the file does not say how measurements follow, the gap of a place is what
// is in, and the play that was measured: gap = fitted_1 + play_1.
func (p *Procedure) Next(r Round, parts Parts) (next *Procedure, readings []Reading, renamed map[string]string, err error) {
	if err := p.GoesOn(); err != nil {
		return nil, nil, nil, err
	}
	b := &nextRound{first: p, r: r, names: map[string]string{}, scope: maps.Clone(p.ending)}
	copied := *p
	b.p = &copied
	b.p.Units = maps.Clone(p.Units)
	b.p.KeepWhen, b.p.Examples, b.p.Values, b.p.Carried = nil, nil, nil, nil
	b.p.Constants = slices.Clone(p.Constants)
	var of []Step
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
	b.p.prune(parts)
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
	first   *Procedure
	p       *Procedure
	r       Round
	names   map[string]string // of what the proof knows, in the next round
	scope   formula.Scope
	total   map[string]string // names of what makes a total that is kept
	carries []Reading         // thicknesses of parts
}

// readings are those of the next round. What it measures no more is left out, and so
// is what was read under a name that a step of the proof has now.
func (b *nextRound) readings() (readings []Reading) {
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
		case ok && !b.first.follows(r.Measurement):
			readings = append(readings, r)
		}
	}
	readings = append(readings, carried...)
	return slices.DeleteFunc(readings, func(r Reading) bool { _, _, ok := b.p.Step(r.Measurement); return !ok })
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
func (b *nextRound) step(s Step) Step {
	name := b.name(s.Name)
	s.Drawing = nil // the file has none under this name
	if before, ok := b.first.isNext(s.Name); ok {
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

// isNext is the measurement that a step of the proof is in the next round, with all
// its readings, because its formula is that name alone.
func (p *Procedure) isNext(step string) (Step, bool) {
	after, _, _ := p.Step(step)
	for _, f := range p.Rounds.Next {
		if f.Of.String() != step {
			continue
		}
		s, _, _ := p.Step(f.Name)
		return s, s.Unit == after.Unit
	}
	return Step{}, false
}

// mark is a case with the name that its step has in the next round.
func (b *nextRound) mark(c Case) Case {
	if name, ok := b.names[c.Step]; ok {
		c.Step = name
	}
	return c
}

func (b *nextRound) title(of string) string { return inRound(of, b.r.Number) }

func inRound(title string, number int) string { return fmt.Sprintf("%s (round %d)", title, number) }

// Titled is what the step is called for people, with the round whose proof measured it.
func (s Step) Titled() string {
	if s.Round == 0 || s.Title == "" {
		return s.Title
	}
	return inRound(s.Title, s.Round)
}

// part lets formulas use a part that is in: as a measurement where it was
// measured, else with what is stated of each piece.
func (b *nextRound) part(f Fitted, parts Parts) []Step {
	old, name := fittedNow(f.Place), formula.NameFitted
	if f.Place != "" {
		name = f.Place + "_" + formula.NameFitted
	}
	name = b.name(name)
	place, ok := b.first.PlaceNamed(f.Place)
	if !ok || f.Thickness == nil {
		return nil // whatever needs it says so
	}
	b.know(old, name, b.p.Unit)
	title := b.title(f.Part)
	if f.Measured {
		b.carries = append(b.carries, Reading{Measurement: name, Value: *f.Thickness, Shown: b.p.Text(*f.Thickness), Unit: b.p.Unit})
		b.scope[name] = formula.Meaning{Of: formula.Length, Step: true}
		return []Step{{Name: name, Title: f.Part, Round: b.r.Number, Instrument: place.Choose.MeasuredWith, Unit: b.p.Unit, Repeats: 1, Take: TakeMean}}
	}
	var pieces []Grade
	if family := familyNamed(parts, place.Parts); family != nil {
		pieces, _ = family.PiecesOf(f.Part)
	}
	if len(pieces) < 2 || !AllKnown(pieces) {
		nominal := Grade{Part: f.Part, Thickness: f.Thickness}
		if len(pieces) == 1 && AllKnown(pieces) {
			nominal = pieces[0]
		}
		b.constant(name, title, nominal)
		return nil
	}
	var sum []string
	for i, g := range pieces {
		piece := name + string(rune('a'+i%26)) + strings.Repeat("_", i/26)
		b.constant(piece, b.title(g.Part), g)
		sum = append(sum, piece)
	}
	b.value(name, title, b.p.Unit, strings.Join(sum, " + "), formula.Length)
	return nil
}

func familyNamed(parts Parts, id string) *Family {
	if parts == nil || id == "" {
		return nil
	}
	return parts.Family(id)
}

// constant is a piece that is in and was not measured. It counts by the middle of what
// is stated of it.
func (b *nextRound) constant(name, title string, g Grade) {
	middle, half := g.Stated()
	value, err := formula.InUnit(middle, b.p.Unit)
	if err != nil {
		return // whatever needs it says so
	}
	text := b.p.Text(value)
	if g.OneSided() {
		low, high := g.Ends()
		text = Shortest(value, b.p.Unit)
		title += ", the middle of " + b.p.ShowLimits(Limits{&low, &high})
	}
	c := Constant{Name: name, Title: title, Text: text, Value: value, Unit: b.p.Unit, of: formula.Length, Exact: middle}
	if half.Sign() > 0 {
		c.Doubt.Tolerance = half
	}
	b.p.Constants = append(b.p.Constants, c)
	b.p.Units[name] = b.p.Unit
	b.scope[name] = formula.Meaning{Of: formula.Length, Value: c.Exact}
}

// value is an intermediate result of the next round, from text in its names.
func (b *nextRound) value(name, title string, u gauge.Unit, text string, of formula.Dimension) error {
	x, err := formula.Parse(text, b.p.Unit, b.scope, &of)
	if err != nil {
		return fmt.Errorf("procedure %s, round %d: %s = %s: %w", b.p.ID, b.r.Number+1, name, text, err)
	}
	b.p.Values = append(b.p.Values, Named{Name: name, Title: title, Unit: u, Formulas: []Formula{{Expression: x}}})
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

func (b *nextRound) named(n Named) {
	name := b.name(n.Name)
	next := Named{Name: name, Title: b.title(n.Title), Unit: n.Unit}
	for _, f := range n.Formulas {
		x, err := formula.Parse(b.inNames(f.Expression), b.p.Unit, b.scope, &f.Expression.Of)
		if err != nil {
			return // whatever needs it says so
		}
		next.Formulas = append(next.Formulas, Formula{Case: b.mark(f.Case), Expression: x})
	}
	b.know(n.Name, name, n.Unit)
	b.p.Values = append(b.p.Values, next)
}

// usual is the sum of one place where the file says nothing: what is in, and the
// play that was measured; a preload is a negative play.
func (b *nextRound) usual() error {
	play := b.inNames(b.first.VerifyPlay)
	if _, one := b.scope[play]; !one {
		name := b.name(string(WordPlay))
		if err := b.value(name, b.title(string(WordPlay)), b.p.Unit, play, formula.Length); err != nil {
			return err
		}
		play = name
	}
	in, ok := b.names[formula.NameFitted]
	if !ok {
		return fmt.Errorf("it is not known how thick the part is that is in: record what was fitted, with its thickness")
	}
	gap, err := formula.Parse(in+" + "+play, b.p.Unit, b.scope, &formula.Length)
	if err != nil {
		return err
	}
	b.p.Gap = gap
	b.p.Carried = []Carried{{Name: play, Unit: b.p.Unit, Play: PlayFelt, Tight: b.first.Word == WordPreload}}
	return nil
}

// stated computes what the file says, in the place of what was measured.
func (b *nextRound) stated() error {
	b.p.Measure = slices.Clone(b.p.Measure)
	for _, f := range b.first.Rounds.Next {
		i := slices.IndexFunc(b.p.Measure, func(s Step) bool { return s.Name == f.Name })
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
		b.p.Carried = append(b.p.Carried, Carried{Name: f.Name, Unit: s.Unit, Play: s.Play, Least: s.LeastPlay, Plausible: s.Plausible})
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
