package procedure

import (
	"maps"
	"slices"
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// Lacks names a part family that the procedure chooses from and parts does not
// have; empty for none. parts may be nil.
func (p *Procedure) Lacks(parts Parts) string {
	for _, id := range p.FamilyIDs() {
		if parts == nil || parts.Family(id) == nil {
			return id
		}
	}
	return ""
}

// Missing is the error of a part family that no readable file gives. path names the
// procedure's file.
func (p *Procedure) Missing(id string, families Families, path string) error {
	return shopfile.Problem{File: path, Line: 1, Column: 1, Says: gauge.Say("suits.no-family", gauge.Text("procedure", p.ID), shopfile.Quoted("family", id), gauge.Others("others", id, slices.Collect(maps.Keys(families))))}
}

// Suits reports why the procedure cannot choose from its families: a choice by
// table needs rows that say which gaps they serve, one by marks needs rows for
// the marks, any other needs thicknesses. Families that parts does not have are
// not looked at. path names the procedure's file.
func (p *Procedure) Suits(parts Parts, path string) error {
	for _, place := range p.EachPlace() {
		f := parts.Family(place.Parts)
		if f == nil {
			continue
		}
		if err := p.suits(place, f); err != nil {
			return shopfile.Problem{File: path, Line: 1, Column: 1, Says: gauge.Say("suits.procedure", gauge.Text("procedure", p.ID), gauge.Because("why", err))}
		}
	}
	return nil
}

func (p *Procedure) suits(place Place, f *Family) error {
	if _, ok := f.Grade(NoPart); ok && place.Choose.None {
		return gauge.WrongInput("suits.no-part", gauge.Text("family", f.ID), gauge.Text("part", NoPart))
	}
	switch place.Choose.Aim {
	case AimCode:
		return p.suitsCodes(f)
	case AimChart:
		return p.suitsChart(f)
	}
	if of := formula.DimensionOf(f.Unit); place.Choose.Aim == AimTable && of != place.Gap.Of {
		return gauge.WrongInput("suits.rows-unit", gauge.Word("of", place.Gap.Of.Word()), gauge.Text("family", f.ID), gauge.Text("unit", f.Unit.String()))
	}
	for _, g := range f.Grades {
		if place.Choose.Aim == AimTable && !g.Serves.Limited() {
			return gauge.WrongInput("suits.row-serves", gauge.Text("part", g.Part), gauge.Text("family", f.ID))
		}
		if place.Choose.Aim != AimTable && g.Thickness == nil {
			return gauge.WrongInput("suits.no-thickness", gauge.Text("part", g.Part), gauge.Text("family", f.ID))
		}
	}
	return p.suitsRows(place, f)
}

// suitsCodes looks for a row, or that they are forbidden, for every combination
// of marks.
func (p *Procedure) suitsCodes(f *Family) error {
	if len(f.CodeSteps) == 0 {
		return gauge.WrongInput("suits.no-marks", gauge.Text("family", f.ID))
	}
	marks := []string{""}
	for i, name := range f.CodeSteps {
		s, _, ok := p.Step(name)
		if !ok || len(s.Codes) == 0 {
			return gauge.WrongInput("suits.no-step", gauge.Text("step", name), gauge.Text("family", f.ID))
		}
		var longer []string
		for _, before := range marks {
			for _, c := range s.Codes {
				if i == 0 {
					longer = append(longer, c.Mark)
				} else {
					longer = append(longer, CodeKey([]string{before, c.Mark}))
				}
			}
		}
		if marks = longer; len(marks) > maxGrades {
			return gauge.WrongInput("suits.many-marks", gauge.Count("most", maxGrades))
		}
	}
	for _, key := range marks {
		if _, ok := f.CodeRows[key]; !ok {
			return gauge.WrongInput("suits.no-row", gauge.Text("family", f.ID), gauge.Text("marks", strings.ReplaceAll(key, "\x00", ", ")), gauge.Text("none", Forbidden))
		}
	}
	return nil
}
