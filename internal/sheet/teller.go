package sheet

import (
	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/words"
)

// teller says texts and values; the first text that is missing is its error.
type teller struct {
	w    words.Words
	text func(gauge.Length, gauge.Unit) string // how a value is written, without its unit
	err  error
}

func (m *teller) say(key string, args ...any) string {
	text, err := m.w.Say(key, args...)
	if m.err == nil {
		m.err = err
	}
	return text
}

// heads says the heads of a table's columns.
func (m *teller) heads(keys ...string) []string {
	texts := make([]string, len(keys))
	for i, key := range keys {
		texts[i] = m.say("sheet.head." + key)
	}
	return texts
}

// record is the head of the history, with which this paper proves what the history says.
func (m *teller) record(head string) *Section {
	if head == "" {
		return nil
	}
	return &Section{Title: m.say("sheet.record"), Notes: []string{m.say("sheet.record.what"), head}}
}

// beside writes values as they stand beside limits, until it is taken back.
func (m *teller) beside(l procedure.Limits, u gauge.Unit, value *gauge.Length) (restore func()) {
	usual := m.text
	if value != nil {
		text := l.Beside(func(l gauge.Length) string { return usual(l, u) }, u, *value)
		m.text = func(l gauge.Length, of gauge.Unit) string {
			if of != u {
				return usual(l, of)
			}
			return text(l)
		}
	}
	return func() { m.text = usual }
}

// value writes a value with its unit.
func (m *teller) value(l *gauge.Length, u gauge.Unit) string {
	if l == nil {
		return "-"
	}
	return m.unit(m.w.Number(m.text(*l, u)), u)
}

// unit sets the unit beside a number; a plain number has none.
func (m *teller) unit(number string, u gauge.Unit) string {
	if u == gauge.One || !u.Known() {
		return number
	}
	return number + " " + words.Unit(u)
}

// percent writes a probability.
func (m *teller) percent(p *evaluate.Probability) string {
	if p == nil {
		return "-"
	}
	return m.w.Chance(int(*p))
}

// uncertain writes an uncertainty with its unit.
func (m *teller) uncertain(l gauge.Length, u gauge.Unit) string {
	return m.unit(m.w.Number(evaluate.TextOfUncertainty(l, u)), u)
}
