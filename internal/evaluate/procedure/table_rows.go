package procedure

import (
	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
)

// rowPlays are the plays that the part of a row leaves in the gaps that the row serves.
type rowPlays struct {
	grade   Grade
	printed Limits // from end to end as they are printed
	rounded Limits // of all gaps that are rounded into the row, too
}

// rowsOf lists what the rows of a table leave at a place that limits the play by plain
// numbers; nothing where that cannot be told without measuring.
func (p *Procedure) rowsOf(place Place, f *Family) (rows []rowPlays) {
	b := place.Allowed
	if place.Choose.Aim != AimTable || place.Gap.Of != formula.Length || !b.Limited() || b.MinOf != nil || b.MaxOf != nil {
		return nil
	}
	for _, g := range f.Grades {
		if g.Thickness != nil {
			rows = append(rows, rowPlays{g, g.leaves(0), g.leaves(f.RowStep / 2)})
		}
	}
	return rows
}

// leaves is what play a grade leaves in the gaps that its row serves, and in those that
// lie up to so much beyond its ends.
func (g Grade) leaves(beyond gauge.Length) (plays Limits) {
	if g.Serves.Min != nil {
		least := *g.Serves.Min - beyond - *g.Thickness
		plays.Min = &least
	}
	if g.Serves.Max != nil {
		most := *g.Serves.Max + beyond - *g.Thickness
		plays.Max = &most
	}
	return plays
}

// suitsRows refuses a row of a table whose part is right for none of its gaps.
func (p *Procedure) suitsRows(place Place, f *Family) error {
	for _, row := range p.rowsOf(place, f) {
		if place.Allowed.Apart(row.rounded) {
			return gauge.WrongInput("suits.row", place.TellPlays("allowed", p, place.Allowed.Limits), gauge.Nested("row", row.words(p, place, f)))
		}
	}
	return nil
}

// DoubtfulRows lists rows of tables whose part is not right for all of their gaps.
func (p *Procedure) DoubtfulRows(parts Parts) (notes []gauge.Message) {
	for _, place := range p.EachPlace() {
		f := parts.Family(place.Parts)
		if f == nil {
			continue
		}
		for _, row := range p.rowsOf(place, f) {
			if !row.printed.within(place.Allowed.Limits) {
				note := gauge.Say("suits.doubtful-row", gauge.Nested("row", row.words(p, place, f)), place.TellPlays("allowed", p, place.Allowed.Limits))
				notes = append(notes, InPlace(place.Name, note))
			}
		}
	}
	return notes
}

func (row rowPlays) words(p *Procedure, place Place, f *Family) gauge.Message {
	return gauge.Say("suits.row-leaves", p.TellGrade("part", row.grade), gauge.Text("family", f.ID), p.TellLimits("gaps", row.grade.Serves), place.TellPlays("leaves", p, row.printed))
}

// InPlace is a note of the place of that name, where there are several.
func InPlace(place string, m gauge.Message) gauge.Message {
	if place == "" {
		return m
	}
	return gauge.Say("suits.at-place", gauge.Text("place", place), gauge.Nested("note", m))
}
