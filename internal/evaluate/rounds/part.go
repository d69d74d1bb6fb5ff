package rounds

import (
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
)

// part lets formulas use a part that is in: as a measurement where it was
// measured, else with what is stated of each piece.
func (b *nextRound) part(f procedure.Fitted, parts procedure.Parts) []procedure.Step {
	old, name := formula.FittedName(f.Place), formula.NameFitted
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
		b.carries = append(b.carries, procedure.Reading{Measurement: name, Value: *f.Thickness, Shown: b.p.Text(*f.Thickness), Unit: b.p.Unit})
		b.scope[name] = formula.Meaning{Of: formula.Length, Step: true}
		return []procedure.Step{{Name: name, Title: f.Part, Round: b.r.Number, Instrument: place.Choose.MeasuredWith, Unit: b.p.Unit, Repeats: 1, Take: procedure.TakeMean}}
	}
	var pieces []procedure.Grade
	if family := familyNamed(parts, place.Parts); family != nil {
		pieces, _ = family.PiecesOf(f.Part)
	}
	if len(pieces) < 2 || !procedure.AllKnown(pieces) {
		nominal := procedure.Grade{Part: f.Part, Thickness: f.Thickness}
		if len(pieces) == 1 && procedure.AllKnown(pieces) {
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

func familyNamed(parts procedure.Parts, id string) *procedure.Family {
	if parts == nil || id == "" {
		return nil
	}
	return parts.Family(id)
}

// constant is a piece that is in and was not measured. It counts by the middle of what
// is stated of it.
func (b *nextRound) constant(name, title string, g procedure.Grade) {
	middle, half := g.Stated()
	value, err := formula.InUnit(middle, b.p.Unit)
	if err != nil {
		return // whatever needs it says so
	}
	text := b.p.Text(value)
	if g.OneSided() {
		low, high := g.Ends()
		text = procedure.Shortest(value, b.p.Unit)
		title += ", the middle of " + b.p.ShowLimits(procedure.Limits{Min: &low, Max: &high})
	}
	c := procedure.Constant{Name: name, Title: title, Text: text, Value: value, Unit: b.p.Unit, Exact: middle}
	if half.Sign() > 0 {
		c.Doubt.Tolerance = half
	}
	b.p.Constants = append(b.p.Constants, c)
	b.p.Units[name] = b.p.Unit
	b.scope[name] = formula.Meaning{Of: formula.Length, Value: c.Exact}
}
