package vet

import (
	"errors"
	"math/big"
	"slices"
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// CheckExamples runs the procedure's examples, as if every part were in stock.
// The error tells for each answer that does not come out file:line:column, what
// came out, what is printed and the difference. Without the part families that the
// procedure chooses from nothing is run.
func CheckExamples(p *procedure.Procedure, parts procedure.Parts) error {
	return CheckExamplesUntil(p, parts, func() error { return nil })
}

// CheckExamplesUntil is CheckExamples, which ends before the next example with
// the error of ended, once there is one.
func CheckExamplesUntil(p *procedure.Procedure, parts procedure.Parts, ended func() error) error {
	if p.Lacks(parts) != "" {
		return nil
	}
	full := procedure.Families{}
	for _, id := range p.FamilyIDs() {
		full[id] = stocked(parts.Family(id))
	}
	var problems []error
	unfit := "" // where an example wants a part, and nothing fits
	effort := evaluate.NewEffort()
	for _, x := range p.Examples {
		if err := ended(); err != nil {
			return err
		}
		e, err := effort.Evaluate(p, full, compute.Input{Readings: x.Readings, Fitted: x.Fitted})
		if effort.Spent() {
			problems = append(problems, shopfile.ProblemAt(x.Place, gauge.Say("example.effort", x.Called())))
			break
		}
		if err != nil {
			problems = append(problems, shopfile.ProblemAt(x.Place, gauge.Say("example.no-value", x.Called(), gauge.Because("why", err))))
			continue
		}
		for _, want := range x.Wants {
			if off, ok := compareAnswer(&x, p, &e, want); !ok {
				if unfit == "" && e.Outcome == evaluate.NothingFits {
					unfit = want.Place
				}
				problems = append(problems, shopfile.ProblemAt(want.Place, gauge.Say("example.slip", x.Called(), gauge.Nested("off", off))))
			}
		}
	}
	if unfit != "" && !effort.Spent() {
		if slip := slippedFamily(p, full, unfit); slip != nil {
			return slip
		}
	}
	return errors.Join(problems...)
}

// stocked returns the family with every grade at hand.
func stocked(f *procedure.Family) *procedure.Family {
	full := *f
	full.Grades = slices.Clone(f.Grades)
	for i := range full.Grades {
		full.Grades[i].Stock = nil
	}
	return &full
}

// compare reports whether an answer comes out, and if not says how.
func compareAnswer(x *procedure.Example, p *procedure.Procedure, e *evaluate.Evaluation, want procedure.Wanted) (off gauge.Message, ok bool) {
	name := gauge.Text("name", strings.Join(want.At, " "))
	if want.Number == nil {
		got := word(e, want.At)
		if got == want.Text {
			return off, true
		}
		args := []gauge.Arg{name, gauge.Text("wanted", want.Text), reasons(e)}
		if got == "" {
			return gauge.Say("example.nothing", args...), false
		}
		return gauge.Say("example.other-word", append(args, gauge.Text("got", got))...), false
	}
	got, u, ok := number(e, p, want.At)
	if !ok {
		return gauge.Say("example.nothing", name, gauge.Shown("wanted", want.Text, want.Unit), reasons(e)), false
	}
	exactly := formula.Exact(got, u)
	if agrees(x, exactly, want) {
		return off, true
	}
	args := []gauge.Arg{
		name, gauge.Typed("got", p.ShowComputed(exactly, want.Unit)), gauge.Shown("wanted", want.Text, want.Unit),
		gauge.Typed("difference", p.ShowComputed(new(big.Rat).Sub(exactly, want.Number), want.Unit)),
	}
	if !x.Cut && formula.Round(formula.ToZero, exactly, want.Digit).Cmp(want.Number) == 0 {
		return gauge.Say("example.cut-off", args...), false
	}
	return gauge.Say("example.other-number", args...), false
}

// agrees compares a value with the printed one to its last digit.
func agrees(x *procedure.Example, got *big.Rat, want procedure.Wanted) bool {
	if x.Cut {
		return formula.Round(formula.ToZero, got, want.Digit).Cmp(want.Number) == 0
	}
	off := new(big.Rat).Sub(got, want.Number)
	return off.Abs(off).Mul(off, big.NewRat(2, 1)).Cmp(want.Digit) <= 0
}

// reasons says where the evaluation stands and what it found.
func reasons(e *evaluate.Evaluation) gauge.Arg {
	args := []gauge.Arg{gauge.Text("outcome", string(e.Outcome))}
	var found []gauge.Arg
	for _, f := range e.Findings {
		found = append(found, gauge.Nested("", f.Says))
	}
	if len(found) > 0 {
		args = append(args, gauge.List("found", found...))
	}
	return gauge.Nested("reasons", gauge.Say("example.reasons", args...))
}

// fitAt is the fit of a place, and the rest of the path; without a place the one fit.
func fitAt(e *evaluate.Evaluation, path []string) (*evaluate.Fit, string) {
	if len(path) == 1 {
		return e.EachFit()[0], path[0]
	}
	for _, f := range e.EachFit() {
		if f.Place == path[0] {
			return f, path[1]
		}
	}
	return &evaluate.Fit{}, path[1]
}

// word is an answer in words; empty when there is none.
func word(e *evaluate.Evaluation, path []string) string {
	fit, name := fitAt(e, path)
	switch name {
	case procedure.AnswerOutcome:
		return string(e.Outcome)
	case procedure.AnswerPart:
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
func number(e *evaluate.Evaluation, p *procedure.Procedure, path []string) (gauge.Length, gauge.Unit, bool) {
	fit, name := fitAt(e, path)
	var found *gauge.Length
	switch name {
	case procedure.AnswerAim:
		found = fit.Aim
	case procedure.AnswerMin, procedure.AnswerMax:
		if fit.Window != nil {
			if found = fit.Window.Min; name == procedure.AnswerMax {
				found = fit.Window.Max
			}
		}
	case procedure.AnswerPlay:
		found = play(fit, e)
	case procedure.AnswerPreload:
		found = procedure.Negative(play(fit, e))
	default:
		return named(e, path, name)
	}
	if found == nil {
		return 0, 0, false
	}
	return *found, p.Unit, true
}

// play is the play after fitting as it was measured, else that of the
// recommended part.
func play(f *evaluate.Fit, e *evaluate.Evaluation) *gauge.Length {
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
func named(e *evaluate.Evaluation, path []string, name string) (gauge.Length, gauge.Unit, bool) {
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
