package sheet

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/doubt"
	"gauged/internal/health/check"
	"gauged/internal/job"
	"gauged/internal/words"
)

func (m *maker) rule() *Section {
	section := &Section{Title: m.say("sheet.rule")}
	if !m.e.DecisionRule.IsZero() {
		section.Notes = append(section.Notes, m.w.Tell(m.e.DecisionRule))
	}
	section.Notes = append(section.Notes, m.notKnown()...)
	return section
}

// notKnown says of which results there is no uncertainty budget, and why: of all at
// once where nothing is stated of any gauge.
func (m *maker) notKnown() (notes []string) {
	known, err := m.in.Job.Known()
	if err != nil {
		m.err = cmp.Or(m.err, err)
		return nil
	}
	stated := func(k evaluate.Known) bool { return k.Stated }
	if len(m.e.Budgets) == 0 && !slices.ContainsFunc(known, stated) {
		return []string{m.say("sheet.no-budget")}
	}
	for _, k := range known {
		budgeted := slices.ContainsFunc(m.e.Budgets, func(b doubt.Budget) bool { return b.Of == k.Of })
		if budgeted || len(k.Unstated) == 0 {
			continue
		}
		notes = append(notes, m.say("sheet.no-budget.of", m.result(k.Of), m.stepTitles(k.Unstated)))
	}
	return notes
}

// result is what a line of arithmetic is called, with its place where there are several.
func (m *maker) result(name string) string {
	place, of := placed(name)
	at, _ := m.p.PlaceNamed(place)
	text := m.w.Tell(doubt.Foretold(of, at.ClosingWord()))
	if place == "" {
		return text
	}
	return cmp.Or(at.Title, place) + ": " + text
}

// placed is the place of a result, empty where there is only one, and what it is there.
func placed(name string) (place, of string) {
	if place, of, ok := strings.Cut(name, ": "); ok {
		return place, of
	}
	return "", name
}

// around is what the uncertainty of a result is around.
func (m *maker) around(b *doubt.Budget) string {
	place, of := placed(b.Of)
	if at, _ := m.p.PlaceNamed(place); strings.HasPrefix(of, doubt.PlayWith) {
		return m.play(at.ClosingWord(), b.Around, nil)
	}
	return m.value(b.Around, b.Unit)
}

// decided is the verdict of a result with the rule by which it was reached.
func (m *maker) decided(j evaluate.Judgement) string {
	text := m.say("outcome." + words.Key(j.Outcome))
	if j.Rule.IsZero() {
		return text
	}
	return text + ", " + m.w.Tell(j.Rule)
}

// gauges tells when each was checked last before the job ended, what that said,
// when the next check was due, and what a later check found.
func (m *maker) gauges() *Section {
	t := &Table{Head: m.heads("gauge", "checked", "error", "verdict", "due", "since"), Shares: []float64{4, 2, 3, 2, 2, 3}}
	for _, g := range m.in.Gauges {
		t.Rows = append(t.Rows, Row{Cells: m.gauge(g)})
	}
	t.dropEmpty()
	return &Section{Title: m.say("sheet.gauges"), Table: t}
}

func (m *maker) gauge(g Gauge) []string {
	name := g.ID
	if g.Title != "" {
		name += ", " + g.Title
	}
	row := []string{name, m.say("sheet.never"), "-", "-", "-", "-"}
	var during, later *check.Record
	for _, c := range g.Checks {
		if end := m.in.Job.Closed; end.IsZero() || !c.Time.After(end) {
			during = c
		} else {
			later = c
		}
	}
	if during != nil {
		row[1], row[3] = m.w.Date(during.Time), m.verdict(during)
		decides := during.Result.Decides()
		row[2] = m.say("sheet.error", m.value(&decides.Error, g.Unit), m.uncertain(decides.Expanded(), g.Unit))
		if g.Health != nil && g.Health.Plan != nil && g.Health.Plan.Every > 0 {
			row[4] = m.w.Date(during.Time.Add(g.Health.Plan.Every))
		}
	}
	if later != nil {
		row[5] = m.w.Date(later.Time) + ": " + m.verdict(later)
	}
	return row
}

func (m *maker) verdict(c *check.Record) string {
	return m.say("check." + words.Key(c.Result.Verdict))
}

// placeTitle is what a place of a part is called for people; empty for none.
func (m *maker) placeTitle(name string) string {
	place, _ := m.p.PlaceNamed(name)
	return cmp.Or(place.Title, name)
}

// course is what was done, by whom and when, without the single readings.
func (m *maker) course() *Section {
	t := &Table{Head: m.heads("time", "step", "by"), Shares: []float64{3, 8, 3}}
	for _, step := range m.in.Course {
		if step.Kind == "taken" {
			continue
		}
		text := step.Kind
		if m.w.Has("course." + step.Kind) {
			text = m.say("course." + step.Kind)
		}
		if step.Round > 0 {
			text = m.say("sheet.round", step.Round) + " " + text
		}
		if step.Had != nil {
			text += ": " + strings.Join(m.gaugesOf(step), "; ")
		}
		if step.Labels != nil {
			text += ": " + strings.Join(m.labelsOf(step.Labels), "; ")
		}
		for _, detail := range []string{m.placeTitle(step.Place), step.Part, step.Reason, step.For} {
			if detail != "" {
				text += ", " + detail
			}
		}
		if step.Serial != "" {
			text += ": " + step.Before + " → " + step.Serial
		}
		if step.Had == nil && len(step.Gauges) > 0 {
			text += ", " + strings.Join(m.gaugesOf(step), ", ")
		}
		if step.Outcome != "" && step.Round == 0 {
			text += ": " + m.say("outcome."+words.Key(step.Outcome))
		}
		by := step.By
		if by == "" {
			by = "-"
		}
		t.Rows = append(t.Rows, Row{Cells: []string{m.w.Clock(step.Time, m.in.Job.Started), text, by}})
	}
	return &Section{Title: m.say("sheet.course"), Table: t}
}

// gaugesOf are the gauges that measurements have from a step on, each behind the one of
// before where the step says which it was.
func (m *maker) gaugesOf(step job.CourseStep) (all []string) {
	for _, measurement := range slices.Sorted(maps.Keys(step.Gauges)) {
		text := m.in.Job.Titled(measurement) + ": "
		if step.Had != nil {
			text += cmp.Or(step.Had[measurement], m.say("sheet.no-gauge")) + " → "
		}
		all = append(all, text+cmp.Or(step.Gauges[measurement], m.say("sheet.no-gauge")))
	}
	return all
}

// labelsOf are the labels that were changed, from what to what.
func (m *maker) labelsOf(l *job.LabelledData) (texts []string) {
	for _, name := range l.Changed() {
		texts = append(texts, m.labelTitle(name)+": "+cmp.Or(l.Before[name], "-")+" → "+cmp.Or(l.Labels[name], "-"))
	}
	return texts
}

// files names the versions that the job was decided from.
func (m *maker) files() *Section {
	section := &Section{Title: m.say("sheet.files"), Notes: []string{m.procedureFile()}}
	if m.p.Source != "" {
		section.Notes = append(section.Notes, m.say("sheet.file.source", m.p.Source))
	}
	for _, id := range m.p.FamilyIDs() {
		f := m.in.Job.Families[id]
		section.Notes = append(section.Notes, m.say("sheet.file.parts", f.ID, f.Hash))
	}
	return section
}

func (m *maker) procedureFile() string {
	if m.p.Edition == "" {
		return m.say("sheet.file.procedure.plain", m.p.ID, m.p.Hash)
	}
	return m.say("sheet.file.procedure", m.p.ID, m.p.Edition, m.p.Hash)
}
