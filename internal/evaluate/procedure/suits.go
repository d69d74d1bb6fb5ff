package procedure

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
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
	return fmt.Errorf("%s:1:1: procedure %s: %s", path, p.ID, gauge.None("part family", id, slices.Collect(maps.Keys(families))))
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
			return fmt.Errorf("%s:1:1: procedure %s %w", path, p.ID, err)
		}
	}
	return nil
}

func (p *Procedure) suits(place Place, f *Family) error {
	if _, ok := f.Grade(NoPart); ok && place.Choose.None {
		return fmt.Errorf("allows no part at all, and family %s has a part %q: give it another number", f.ID, NoPart)
	}
	switch place.Choose.Aim {
	case AimCode:
		return p.suitsCodes(f)
	case AimChart:
		return p.suitsChart(f)
	}
	if of := formula.DimensionOf(f.Unit); place.Choose.Aim == AimTable && of != place.Gap.Of {
		return fmt.Errorf("chooses by %v, but the rows of family %s are in %s", place.Gap.Of, f.ID, f.Unit)
	}
	for _, g := range f.Grades {
		if place.Choose.Aim == AimTable && !g.Serves.Limited() {
			return fmt.Errorf("chooses by table, but %s of family %s does not say which gaps it serves", g.Part, f.ID)
		}
		if place.Choose.Aim != AimTable && g.Thickness == nil {
			return fmt.Errorf("chooses by thickness, but %s of family %s has none", g.Part, f.ID)
		}
	}
	return p.suitsRows(place, f)
}

// suitsCodes looks for a row, or that they are forbidden, for every combination
// of marks.
func (p *Procedure) suitsCodes(f *Family) error {
	if len(f.CodeSteps) == 0 {
		return fmt.Errorf("chooses by marks, but family %s has no table of marks", f.ID)
	}
	marks := []string{""}
	for i, name := range f.CodeSteps {
		s, _, ok := p.Step(name)
		if !ok || len(s.Codes) == 0 {
			return fmt.Errorf("chooses by marks, but has no measurement %q with one_of, which family %s looks at", name, f.ID)
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
			return fmt.Errorf("combines more than %d marks", maxGrades)
		}
	}
	for _, key := range marks {
		if _, ok := f.CodeRows[key]; !ok {
			return fmt.Errorf("chooses by marks, but family %s has no row for %s; write %s where marks must not come together", f.ID, strings.ReplaceAll(key, "\x00", ", "), Forbidden)
		}
	}
	return nil
}
