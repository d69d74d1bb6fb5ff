package sheet

import (
	"cmp"
	"slices"
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/words"
)

func (m *maker) warnings() *Section {
	section := &Section{Title: m.say("sheet.warnings")}
	for _, warning := range m.in.Job.Warnings {
		section.Notes = append(section.Notes, m.w.Tell(warning))
	}
	return section
}

// gap is what there is to fill; a dash where a table is looked up by something else,
// which has its line among the sums.
func (m *maker) gap(place procedure.Place, f *evaluate.Fit) string {
	if place.NoGap {
		return "-"
	}
	return m.between(f.Gap, f.Between, m.p.Unit)
}

// beforeAndAfter sets what was measured before beside what came out, for each place.
// The gap without a part is a gap; a play before is there only where one was measured.
func (m *maker) beforeAndAfter() *Section {
	if !m.p.ChoosesPart() {
		return nil
	}
	before := m.before()
	t := &Table{Head: m.heads("what", "gap", "fitted", "predicted", "after", "allowed"), Shares: []float64{3, 2, 3, 2, 2, 3}}
	if before != nil {
		t.Head = slices.Insert(t.Head, 1, m.heads("before")...)
		t.Shares = slices.Insert(t.Shares, 1, 2)
	}
	for _, f := range m.e.EachFit() {
		if f.Gap == nil && f.Fitted == nil {
			continue
		}
		place, _ := m.p.PlaceNamed(f.Place)
		row := []string{cmp.Or(f.Title, f.Place, m.say("word."+words.Key(cmp.Or(place.Word, procedure.WordResult)))), m.gap(place, f), m.fitted(f.Fitted), "-", "-", m.limits(place.Word.CalledLimits(f.Allowed), m.p.Unit)}
		if p := f.Predicted; p != nil {
			row[3] = m.play(place.Word, &p.Play, p.Between)
		}
		if v := m.e.Verification; v != nil {
			row[3], row[4] = m.play(m.p.Word, v.Predicted, v.PredictedBetween), m.play(m.p.Word, &v.Measured, v.Between)
			if f.Place == "" {
				row[4], row[5] = m.judged(*m.e.Proof(m.p))
			}
		}
		if before != nil {
			row = slices.Insert(row, 1, m.play(before.Word(), &before.Value, before.Between))
		}
		t.Rows = append(t.Rows, Row{Cells: row, Strong: true})
	}
	t.dropEmpty()
	section := &Section{Title: m.say("sheet.before-after"), Table: t}
	if v := m.e.Verification; v != nil && v.Difference != nil {
		section.Notes = append(section.Notes, m.say("sheet.difference", m.play(m.p.Word, v.Difference, nil)))
	}
	return section
}

// before is the play or preload that was measured before a part was fitted; nil when
// none was.
func (m *maker) before() *evaluate.Judgement {
	i := slices.IndexFunc(m.e.Judgements, func(j evaluate.Judgement) bool { return !j.After && j.Word() != procedure.WordResult })
	if i < 0 {
		return nil
	}
	return &m.e.Judgements[i]
}

func (m *maker) fitted(f *procedure.Fitted) string {
	switch {
	case f == nil:
		return "-"
	case f.Thickness == nil:
		return f.Part
	case f.Measured:
		return m.say("sheet.fitted.measured", f.Part, m.value(f.Thickness, m.p.Unit))
	}
	return m.say("sheet.fitted.nominal", f.Part, m.value(f.Thickness, m.p.Unit))
}

// readings lists every reading that was taken, those that do not count too.
func (m *maker) readings() *Section {
	t := &Table{Head: m.heads("measurement", "reading", "gauge", "time", "counts"), Shares: []float64{4, 2, 4, 2.5, 4.5}}
	for _, step := range m.in.Course {
		if step.Reading != nil {
			t.Rows = append(t.Rows, m.reading(step.Reading))
		}
	}
	section := &Section{Title: m.say("sheet.readings"), Table: t}
	for _, x := range m.e.Measurements {
		if x.Value == nil && x.Mark == "" {
			continue
		}
		value := cmp.Or(x.Mark, m.between(x.Value, x.Between, x.Unit))
		text := m.say("sheet.measured", m.stepTitle(x.Name), value)
		if x.Spread != nil && x.Agree != nil {
			restore := m.beside(procedure.Limits{Max: x.Agree}, x.Unit, x.Spread)
			text += "; " + m.say("sheet.agreement", m.value(x.Spread, x.Unit), m.value(x.Agree, x.Unit))
			restore()
		}
		section.Notes = append(section.Notes, text)
	}
	return section
}

func (m *maker) reading(r *job.CourseReading) Row {
	shown := m.unit(m.w.Number(gauge.Digits(r.Shown, r.Unit)), r.Unit)
	if r.From != "" {
		shown = m.say("sheet.way", m.w.Number(gauge.Digits(r.From, r.Unit)), shown)
	}
	source := r.Gauge
	if r.EnteredBy != "" {
		source = m.say("sheet.typed.alone", r.EnteredBy)
		if on := strings.TrimPrefix(strings.TrimPrefix(r.Gauge, "typed"), ": "); on != "" {
			source = m.say("sheet.typed", on, r.EnteredBy)
		}
	}
	counts, struck := m.say("sheet.counts"), false
	switch {
	case r.Discarded != "":
		counts, struck = m.say("sheet.discarded", r.Discarded), true
	case r.Replaced && r.Round < m.in.Job.Round():
		counts, struck = m.say("sheet.replaced.round", r.Round), true
	case r.Replaced:
		counts, struck = m.say("sheet.replaced"), true
	}
	title := m.in.Job.Titled(r.Measurement)
	if m.in.Job.Round() > 1 {
		title = m.say("step.round", title, r.Round)
	}
	return Row{Cells: []string{title, shown, source, m.w.Clock(r.Time, m.in.Job.Started), counts}, Struck: struck}
}

// sums are the lines of arithmetic as one would do them on paper.
func (m *maker) sums() *Section {
	t := &Table{Head: m.heads("result", "formula", "worked", "value"), Shares: []float64{2, 5, 5, 2}}
	for _, s := range m.e.Sums {
		t.Rows = append(t.Rows, Row{Cells: []string{m.result(s.Name), m.w.Number(m.w.Tell(doubt.Expressed(s.Expression))), m.w.Number(s.Worked), m.between(&s.Value, s.Between, s.Unit)}})
	}
	return &Section{Title: m.say("sheet.sums"), Table: t}
}

// atWorst says how far a result may be off within the stated tolerances.
func (m *maker) atWorst(word procedure.Word, worst *procedure.Limits, u gauge.Unit) string {
	if worst == nil {
		return ""
	}
	return ", " + m.say("sheet.worst", m.limits(word.CalledLimits(*worst), u))
}

// judgements are the results beside their limits.
func (m *maker) judgements() *Section {
	t := &Table{Head: m.heads("result", "value", "allowed", "inside", "verdict"), Shares: []float64{3.5, 2, 3, 2.3, 3.8}}
	var unstated []string
	for _, j := range m.e.Judgements {
		for _, name := range j.Unstated {
			if !slices.Contains(unstated, name) {
				unstated = append(unstated, name)
			}
		}
		value, allowed := m.judged(j)
		value += m.atWorst(j.Word(), j.Worst, j.Unit)
		t.Rows = append(t.Rows, Row{Cells: []string{cmp.Or(m.in.Job.ResultTitle(j), m.word(j.Name)), value, allowed, m.percent(j.Probability), m.decided(j)}, Strong: j.Outcome != evaluate.Conforms})
	}
	t.dropEmpty()
	section := &Section{Title: m.say("sheet.judged"), Table: t}
	if len(unstated) > 0 {
		section.Notes = append(section.Notes, m.say("sheet.unstated", m.stepTitles(unstated)))
	}
	return section
}

// word is the word of a closing dimension in the sheet's language; other names are the shop's own.
func (m *maker) word(name string) string { return m.w.Tell(doubt.Result(name)) }

func (m *maker) findings() *Section {
	section := &Section{Title: m.say("sheet.findings")}
	for _, f := range m.e.Shown() {
		section.Notes = append(section.Notes, m.w.Tell(m.in.Job.FindingSays(f)))
	}
	return section
}

// distribution is what is known about a contribution, in a word.
func (m *maker) distribution(name string) string {
	if key := "distribution." + name; m.w.Has(key) {
		return m.say(key)
	}
	return name
}

// budget is the uncertainty of one result.
func (m *maker) budget(b *doubt.Budget) *Section {
	t := &Table{Head: m.heads("source", "distribution", "standard", "freedom", "share"), Shares: []float64{5, 3, 2, 2, 2}}
	for _, c := range b.Contributions {
		t.Rows = append(t.Rows, Row{Cells: []string{m.w.Tell(doubt.Source(c.Source)), m.distribution(string(c.Distribution)), m.uncertain(c.Standard, b.Unit), m.freedom(c.Freedom), m.percent(&c.Share)}})
	}
	t.Rows = append(t.Rows,
		Row{Cells: []string{m.say("sheet.combined"), "", m.uncertain(b.Standard, b.Unit), m.freedom(b.Freedom), ""}, Strong: true},
		Row{Cells: []string{m.say("sheet.expanded", m.percent(&b.Coverage)), "k = " + m.w.Number(b.K.Text(gauge.One, 2)), m.uncertain(b.Expanded, b.Unit), "", ""}, Strong: true})
	section := &Section{Title: m.say("sheet.budget", m.result(b.Of)), Table: t}
	if b.Around != nil {
		section.Notes = append(section.Notes, m.say("sheet.around", m.around(b)))
	}
	if len(b.Unstated) > 0 {
		section.Notes = append(section.Notes, m.say("sheet.budget.unstated", m.stepTitles(b.Unstated)))
	}
	if s := b.Simulated; s != nil {
		section.Notes = append(section.Notes, m.say("sheet.simulated", s.Draws, m.uncertain(s.Standard, b.Unit), m.value(&s.Low, b.Unit), m.value(&s.High, b.Unit)))
		if s.Counts {
			section.Notes = append(section.Notes, m.say("sheet.simulated.counts"))
		}
	}
	return section
}
