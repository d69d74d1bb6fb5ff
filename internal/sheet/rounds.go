package sheet

import (
	"cmp"
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/words"
)

// rounds lists the earlier rounds, struck, and says which one the rest of the sheet
// is about.
func (m *maker) rounds() *Section {
	j := m.in.Job
	if len(j.Rounds) == 0 {
		return nil
	}
	t := &Table{Head: m.heads("round", "fitted", "after", "allowed", "verdict"), Shares: []float64{1.5, 4, 3.5, 3.5, 3}}
	for _, r := range j.Rounds {
		var fitted, after, allowed []string
		for _, f := range r.Fitted {
			text := m.fitted(&f)
			if f.Place != "" {
				text = f.Place + ": " + text
			}
			fitted = append(fitted, text)
		}
		for _, g := range r.Results {
			value, limits := m.judged(g)
			allowed = append(allowed, limits)
			after = append(after, cmp.Or(m.in.Job.ResultTitle(g), m.word(g.Name))+" "+value)
		}
		t.Rows = append(t.Rows, Row{Struck: true, Cells: []string{
			m.say("sheet.round", r.Number), strings.Join(fitted, "; "), strings.Join(after, "; "), strings.Join(allowed, "; "), m.outcome(r.Outcome),
		}})
	}
	return &Section{Title: m.say("sheet.rounds"), Table: t, Notes: []string{m.say("sheet.round.now", j.Round())}}
}

func (m *maker) outcome(o evaluate.Outcome) string {
	return m.say("outcome." + words.Key(o))
}
