package sheet

import (
	"cmp"
	"fmt"
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// maker makes a sheet section by section.
type maker struct {
	teller
	in Input
	p  *procedure.Procedure
	e  *evaluate.Evaluation
}

func (m *maker) sheet() *Sheet {
	j := m.in.Job
	s := &Sheet{
		Title: m.say("sheet.title", j.ID), Outcome: m.w.Tell(j.Verdict()),
		Of:   m.e.Outcome,
		Foot: m.say("sheet.foot"), Signs: []string{m.say("sheet.sign.technician"), m.say("sheet.sign.checked")},
	}
	s.Head = m.head()
	for _, section := range []*Section{
		m.warnings(), m.rounds(), m.beforeAndAfter(), m.readings(), m.sums(), m.parts(), m.judgements(), m.findings(),
	} {
		s.add(section)
	}
	for i := range m.e.Budgets {
		s.add(m.budget(&m.e.Budgets[i]))
	}
	for _, section := range []*Section{m.rule(), m.gauges(), m.course(), m.files(), m.record(m.in.Record)} {
		s.add(section)
	}
	return s
}

func (s *Sheet) add(section *Section) {
	if section != nil && (len(section.Notes) > 0 || section.Table != nil && len(section.Table.Rows) > 0) {
		s.Sections = append(s.Sections, *section)
	}
}

func (m *maker) head() []Pair {
	j := m.in.Job
	closed := m.say("sheet.open")
	if !j.Closed.IsZero() {
		closed = m.w.Moment(j.Closed)
	}
	signed := m.say("sheet.not-signed")
	switch {
	case j.Verified:
		signed = m.say("sheet.signed")
	case j.Unfinished():
		signed = m.say("sheet.no-verdict")
	}
	head := []Pair{{m.say("sheet.serial"), j.UnitSerial}}
	for _, name := range j.Labels.Names() {
		head = append(head, Pair{m.labelTitle(name), j.Labels[name]})
	}
	head = append(head, []Pair{
		{m.say("sheet.station"), m.in.Station},
		{m.say("start.technician"), j.Technician},
		{m.say("sheet.procedure"), j.Procedure.Title},
		{m.say("sheet.started"), m.w.Moment(j.Started)},
		{m.say("sheet.closed"), closed},
		{m.say("sheet.head.verdict"), signed},
	}...)
	if j.CloseReason != "" {
		reason := "proc.reason" // why the unit leaves as it is
		if j.Unfinished() {
			reason = "sheet.reason"
		}
		head = append(head, Pair{m.say(reason), j.CloseReason})
	}
	return head
}

// labelTitle is what a label is called for people.
func (m *maker) labelTitle(name string) string {
	if m.w.Has("label." + name) {
		return m.say("label." + name)
	}
	return name
}

// judged are what a judgement found and what it asks for, as the procedure calls them,
// written beside each other.
func (m *maker) judged(j evaluate.Judgement) (value, allowed string) {
	if j.Mark != "" {
		return j.Mark, j.Wanted
	}
	j = j.Called()
	usual := m.text
	defer func() { m.text = usual }()
	m.text = func(l gauge.Length, u gauge.Unit) string {
		return j.Beside(func(l gauge.Length) string { return usual(l, u) })(l)
	}
	return m.between(&j.Value, j.Between, j.Unit), m.limits(j.Allowed, j.Unit)
}

// between writes an interval, or the value.
func (m *maker) between(l *gauge.Length, b *procedure.Limits, u gauge.Unit) string {
	if b == nil || b.Min == nil || b.Max == nil {
		return m.value(l, u)
	}
	return m.say("sheet.between", m.value(b.Min, u), m.value(b.Max, u))
}

// play writes a play as the word calls it.
func (m *maker) play(word procedure.Word, l *gauge.Length, b *procedure.Limits) string {
	if l != nil {
		called := word.Called(*l)
		l = &called
	}
	return m.between(l, word.CalledBetween(b), m.p.Unit)
}

// limits writes limits in words.
func (m *maker) limits(l procedure.Limits, u gauge.Unit) string {
	switch {
	case l.Min != nil && l.Max != nil:
		return m.say("sheet.from-to", m.value(l.Min, u), m.value(l.Max, u))
	case l.Min != nil:
		return m.say("sheet.at-least", m.value(l.Min, u))
	case l.Max != nil:
		return m.say("sheet.at-most", m.value(l.Max, u))
	}
	return "-"
}

// stepTitle is what a measurement is called for people.
func (m *maker) stepTitle(name string) string {
	step, _, _ := m.p.Step(name)
	if step.Round > 0 && step.Title != "" {
		return m.say("step.round", step.Title, step.Round)
	}
	return cmp.Or(step.Title, name)
}

func (m *maker) stepTitles(names []string) string {
	titles := make([]string, len(names))
	for i, name := range names {
		titles[i] = m.stepTitle(name)
	}
	return strings.Join(titles, ", ")
}

func (m *maker) freedom(n int) string {
	if n == 0 {
		return m.say("sheet.infinite")
	}
	return fmt.Sprint(n)
}
