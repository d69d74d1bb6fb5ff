package evaluate

import (
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
)

// Example is a printed example of the manual: readings, and the answer that
// must come out.
type Example struct {
	Title    string
	Source   string
	Readings []Reading
	Fitted   []Fitted

	place string // file:line:column
	cut   bool   // the printed digits are cut off, not rounded
	wants []wanted
}

// wanted is one printed answer.
type wanted struct {
	at     []string // name, or place and name; for a window with min or max
	place  string   // file:line:column
	text   string   // as it is printed
	number *big.Rat // to compute with; nil: text is compared
	digit  *big.Rat // size of the last printed digit
	unit   gauge.Unit
}

// answers that an example may want beside the names of the procedure.
const (
	answerOutcome = "outcome"
	answerPart    = "part"
	answerGap     = "gap"
	answerAim     = "thickness" // that is aimed at, or to which a part is made
	answerPlay    = "play"
	answerPreload = "preload"
	answerMin     = "window_min"
	answerMax     = "window_max"
)

var answers = []string{answerOutcome, answerPart, answerGap, answerAim, answerPlay, answerPreload, answerMin, answerMax}

// CheckExamples runs the procedure's examples, as if every part were in stock.
// The error tells for each answer that does not come out file:line:column, what
// came out, what is printed and the difference. Without the part families that the
// procedure chooses from nothing is run.
func (p *Procedure) CheckExamples(parts Parts) error {
	return p.CheckExamplesUntil(parts, func() error { return nil })
}

// CheckExamplesUntil is CheckExamples, which ends before the next example with
// the error of ended, once there is one.
func (p *Procedure) CheckExamplesUntil(parts Parts, ended func() error) error {
	if p.Lacks(parts) != "" {
		return nil
	}
	full := Families{}
	for _, id := range p.FamilyIDs() {
		full[id] = parts.Family(id).stocked()
	}
	var problems []error
	effort := &effort{left: mostSampled}
	for _, x := range p.Examples {
		if err := ended(); err != nil {
			return err
		}
		e, err := x.run(p, full, effort)
		if effort.spent() {
			problems = append(problems, fmt.Errorf("%s: up to %s the examples need too many Monte Carlo runs, because formulas bend within the uncertainty of what they are given: give fewer examples or fewer such results", x.place, x.called()))
			break
		}
		if err != nil {
			problems = append(problems, fmt.Errorf("%s: %s cannot be computed: %w", x.place, x.called(), err))
			continue
		}
		for _, want := range x.wants {
			if text, ok := x.compare(p, &e, want); !ok {
				problems = append(problems, fmt.Errorf("%s: %s: %s: find out whether the print or the file has the slip", want.place, x.called(), text))
			}
		}
	}
	return errors.Join(problems...)
}

// run evaluates an example with what is left of the effort.
func (x *Example) run(p *Procedure, parts Parts, left *effort) (Evaluation, error) {
	w, err := newWork(p, parts, Input{Readings: x.Readings, Fitted: x.Fitted})
	if err != nil {
		return Evaluation{}, err
	}
	w.effort = left
	return w.done()
}

func (x *Example) called() string {
	if x.Title == "" {
		return "the example"
	}
	return fmt.Sprintf("the example %q", x.Title)
}

// stocked returns the family with every grade at hand.
func (f *Family) stocked() *Family {
	full := *f
	full.Grades = slices.Clone(f.Grades)
	for i := range full.Grades {
		full.Grades[i].Stock = nil
	}
	return &full
}

// compare reports whether an answer comes out, and if not says how.
func (x *Example) compare(p *Procedure, e *Evaluation, want wanted) (string, bool) {
	name := strings.Join(want.at, " ")
	if want.number == nil {
		got := e.word(want.at)
		if got == want.text {
			return "", true
		}
		return fmt.Sprintf("%s: got %s, wanted %s%s", name, orNothing(got), want.text, e.reasons()), false
	}
	got, u, ok := e.number(p, want.at)
	if !ok {
		return fmt.Sprintf("%s: got nothing, wanted %s%s", name, want.unit.Quantity(want.text), e.reasons()), false
	}
	exactly := formula.Exact(got, u)
	if x.agrees(exactly, want) {
		return "", true
	}
	text := fmt.Sprintf("%s: got %s, wanted %s, difference %s", name, p.shown(exactly, want.unit), want.unit.Quantity(want.text), p.shown(new(big.Rat).Sub(exactly, want.number), want.unit))
	if !x.cut && formula.Round(formula.ToZero, exactly, want.digit).Cmp(want.number) == 0 {
		text += "; the print seems to cut digits off instead of rounding: if so, say digits: cut off in the example"
	}
	return text, false
}

// agrees compares a value with the printed one to its last digit.
func (x *Example) agrees(got *big.Rat, want wanted) bool {
	if x.cut {
		return formula.Round(formula.ToZero, got, want.digit).Cmp(want.number) == 0
	}
	off := new(big.Rat).Sub(got, want.number)
	return off.Abs(off).Mul(off, big.NewRat(2, 1)).Cmp(want.digit) <= 0
}

func orNothing(text string) string {
	if text == "" {
		return "nothing"
	}
	return text
}

// shown writes a computed value in unit u, with its unit.
func (p *Procedure) shown(r *big.Rat, u gauge.Unit) string {
	l, err := formula.InUnit(r, u)
	if err != nil {
		return r.FloatString(3)
	}
	return p.showIn(l, u)
}

// reasons says in brackets where the evaluation stands and what it found.
func (e *Evaluation) reasons() string {
	texts := []string{"outcome " + string(e.Outcome)}
	for _, f := range e.Findings {
		texts = append(texts, f.Text)
	}
	return " (" + strings.Join(texts, "; ") + ")"
}

// at is the fit of a place, and the rest of the path; without a place the one fit.
func (e *Evaluation) at(path []string) (*Fit, string) {
	if len(path) == 1 {
		return e.EachFit()[0], path[0]
	}
	for _, f := range e.EachFit() {
		if f.Place == path[0] {
			return f, path[1]
		}
	}
	return &Fit{}, path[1]
}

// word is an answer in words; empty when there is none.
func (e *Evaluation) word(path []string) string {
	fit, name := e.at(path)
	switch name {
	case answerOutcome:
		return string(e.Outcome)
	case answerPart:
		return fit.Recommended()
	}
	for _, j := range e.Judgements {
		if j.Name == name {
			return string(j.Outcome)
		}
	}
	return ""
}

// number is an answer that is a quantity.
func (e *Evaluation) number(p *Procedure, path []string) (gauge.Length, gauge.Unit, bool) {
	fit, name := e.at(path)
	var found *gauge.Length
	switch name {
	case answerAim:
		found = fit.Aim
	case answerMin, answerMax:
		if fit.Window != nil {
			if found = fit.Window.Min; name == answerMax {
				found = fit.Window.Max
			}
		}
	case answerPlay:
		found = fit.play(e)
	case answerPreload:
		found = negative(fit.play(e))
	default:
		return e.named(path, name)
	}
	if found == nil {
		return 0, 0, false
	}
	return *found, p.Unit, true
}

// play is the play after fitting as it was measured, else that of the
// recommended part.
func (f *Fit) play(e *Evaluation) *gauge.Length {
	switch {
	case e.Verification != nil:
		return &e.Verification.Measured
	case f.Choice != nil:
		return f.Choice.Play
	case f.Pack != nil:
		return f.Pack.Play
	case f.Gap != nil && f.Aim != nil:
		play := *f.Gap - *f.Aim
		return &play
	}
	return nil
}

// named is a line of arithmetic, a judged result or a measurement.
func (e *Evaluation) named(path []string, name string) (gauge.Length, gauge.Unit, bool) {
	if len(path) > 1 {
		name = path[0] + ": " + name
	}
	for _, s := range slices.Backward(e.Sums) {
		if s.Name == name {
			return s.Value, s.Unit, true
		}
	}
	for _, j := range e.Judgements {
		if j.Name == name {
			return j.Value, j.Unit, true
		}
	}
	for _, m := range e.Measurements {
		if m.Name == name && m.Value != nil {
			return *m.Value, m.Unit, true
		}
	}
	return 0, 0, false
}
