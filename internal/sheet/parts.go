package sheet

import (
	"cmp"
	"slices"
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
)

// parts are the chosen grade or pack and those beside it.
func (m *maker) parts() *Section {
	t := &Table{Head: m.heads("part", "mark", "thickness", "gives", "inside", "note"), Shares: []float64{3, 1.5, 2, 2.7, 2.7, 2.8}}
	section := &Section{Title: m.say("study.parts"), Table: t}
	if t := m.e.Together; t != nil {
		section.Notes = append(section.Notes, m.say("job.together", m.value(&t.Wanted, m.p.Unit), m.value(&t.Within, m.p.Unit))+" "+m.w.Tell(t.Why))
	}
	var rules []string // after what they are applied to
	for _, f := range m.e.EachFit() {
		place, _ := m.p.PlaceNamed(f.Place)
		fitted := another(f)
		if f.Waits != "" {
			section.Notes = append(section.Notes, m.say("job.waits", f.Waits))
		}
		if f.Window != nil {
			section.Notes = append(section.Notes, m.say("sheet.window", cmp.Or(f.Title, f.Place, m.say("sheet.part")), m.limits(*f.Window, m.p.Unit)))
		}
		if !f.Rule.IsZero() {
			if rule := m.say("sheet.rule") + ": " + m.w.Tell(f.Rule); !slices.Contains(rules, rule) {
				rules = append(rules, rule)
			}
		}
		for _, c := range []struct {
			candidate *evaluate.Candidate
			note      string
		}{
			{f.Thinner, "thinner"},
			{ofPack(f.PackThinner), "thinner"},
			{f.Choice, "recommended"},
			{ofPack(f.Pack), "recommended"},
			{fitted, "fitted"},
			{f.Thicker, "thicker"},
			{ofPack(f.PackThicker), "thicker"},
		} {
			if c.note != "fitted" && c.candidate != nil && fitted != nil && fitted.Part == c.candidate.Part {
				continue // its row is that of the part as it is in
			}
			if c.candidate != nil {
				strong := c.note == "fitted" || c.note == "recommended" && fitted == nil
				restore := m.beside(f.Allowed, m.p.Unit, c.candidate.Play)
				row := m.candidate(place.Word, c.candidate, m.noteOf(f, c.candidate.Part, c.note), strong)
				restore()
				if f.Place != "" {
					row.Cells[0] = cmp.Or(f.Title, f.Place) + ": " + row.Cells[0]
				}
				t.Rows = append(t.Rows, row)
			}
		}
		if len(f.Unstated) > 0 {
			section.Notes = append(section.Notes, m.say("sheet.unstated", m.stepTitles(f.Unstated)))
		}
	}
	section.Notes = append(section.Notes, rules...)
	t.dropEmpty()
	return section
}

// noteOf is what a part is called beside those of the sum. Where it is in and the proof is
// not right, the sheet does not recommend it, and says how the proof of its place ended.
func (m *maker) noteOf(f *evaluate.Fit, part, note string) string {
	switch {
	case f.Fitted == nil || f.Fitted.Part != part:
		return m.say("sheet.note." + note)
	case m.e.Outcome.Missed() && m.e.Proved():
		return m.say("sheet.note." + string(m.in.Job.PlaceProof(f.Place)))
	case f.Recommends(part):
		return m.say("sheet.note.recommended") + ", " + m.say("sheet.note.fitted")
	}
	return m.say("sheet.note.fitted")
}

// another is what the part leaves that is in, where that is not what is said of the
// recommended one: another part, or one that was measured; nil else.
func another(f *evaluate.Fit) *evaluate.Candidate {
	p := f.Predicted
	if p == nil || !f.Fitted.Measured && f.Recommends(f.Fitted.Part) {
		return nil
	}
	c := &evaluate.Candidate{Grade: procedure.Grade{Part: f.Fitted.Part, Thickness: f.Fitted.Thickness}, Play: &p.Play, Between: p.Between, Worst: p.Worst, Probability: p.Probability}
	for _, of := range f.Candidates {
		if of.Part == c.Part {
			c.Mark = of.Mark
		}
	}
	return c
}

// ofPack is a pack as a part among others; nil for none.
func ofPack(p *evaluate.Pack) *evaluate.Candidate {
	if p == nil {
		return nil
	}
	grade, marks := procedure.Grade{Part: p.Name(), Thickness: &p.Thickness}, make([]string, len(p.Pieces))
	for i, piece := range p.Pieces {
		marks[i] = cmp.Or(piece.Mark, "-")
	}
	if slices.ContainsFunc(marks, func(mark string) bool { return mark != "-" }) {
		grade.Mark = strings.Join(marks, " + ")
	}
	return &evaluate.Candidate{Grade: grade, Play: p.Play, Worst: p.Worst, Probability: p.Probability}
}

func (m *maker) candidate(word procedure.Word, c *evaluate.Candidate, note string, strong bool) Row {
	if c.Stock != nil && *c.Stock == 0 {
		note += ", " + m.say("sheet.note.out")
	}
	return Row{Strong: strong, Cells: []string{c.Part, cmp.Or(c.Mark, "-"), m.value(c.Thickness, m.p.Unit), m.play(word, c.Play, c.Between) + m.atWorst(word, c.Worst, m.p.Unit), m.percent(c.Probability), note}}
}
