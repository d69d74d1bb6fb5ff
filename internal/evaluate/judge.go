package evaluate

import (
	"fmt"
	"slices"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// ranking of outcomes of results; what stands later outweighs what stands before.
var ranking = []Outcome{complete, Conforms, Undecided, DoesNotConform, MeasureAgain, WrongPart}

// worse returns the outcome that outweighs the other.
func worse(a, b Outcome) Outcome {
	if slices.Index(ranking, b) > slices.Index(ranking, a) {
		return b
	}
	return a
}

// judged compares what is measured before fitting with its limits and reports
// whether that ends the evaluation: readings that cannot be used, a fault that
// no part cures, or a unit that needs nothing.
func (w *work) judged() (done bool, err error) {
	outcome := complete
	for _, j := range w.P.Judge {
		if j.OfParts {
			continue
		}
		o, err := w.judge(j, false)
		if err != nil {
			return false, err
		}
		outcome = worse(outcome, o)
	}
	if w.e.Outcome = outcome; outcome == MeasureAgain || outcome == WrongPart || outcome == DoesNotConform && w.P.ChoosesPart() {
		return true, nil
	}
	return w.kept()
}

// kept reports whether the unit is within limits as it was found, so that
// nothing needs to be fitted.
func (w *work) kept() (bool, error) {
	j := w.P.KeepWhen
	if j == nil {
		return false, nil
	}
	x, ok := w.Formula(j.Named)
	if !ok {
		return false, nil
	}
	if slices.ContainsFunc(x.Names(), w.skipped) || w.missingLimit(j.Limits) != "" {
		return false, nil // what would keep it is not measured in this case
	}
	value, err := w.sum(j.Name, j.Unit, x)
	if err != nil {
		return false, err
	}
	limits, err := w.BoundsIn(j.Limits, j.Unit)
	if err != nil {
		return false, err
	}
	g := Judgement{Name: j.Name, Title: j.Title, Value: value, Unit: j.Unit, Between: w.lastBetween(), Allowed: limits}
	if w.decide(&g, j.Name, x, j.Limits); g.Outcome != Conforms {
		if g.Outcome == Undecided && !g.nothingStated() {
			w.tell(FindingNearLimit, "found.near_limit_as_found", w.P.TellBeside(value, g.Between, "limits", limits, j.Unit)...)
		}
		return false, nil
	}
	w.e.Judgements = append(w.e.Judgements, g)
	w.e.Outcome = worse(w.e.Outcome, Conforms)
	w.e.Why = gauge.Say("why.kept", w.P.TellIn("value", value, j.Unit), w.P.TellLimitsIn("limits", limits, j.Unit))
	w.point(FindingKept, w.e.Why)
	return true, nil
}

// judge compares one result with its limits.
func (w *work) judge(j procedure.Judge, after bool) (Outcome, error) {
	if j.Is != "" {
		return w.judgeMark(j, after), nil
	}
	x, ok := w.Formula(j.Named)
	if !ok {
		return complete, nil
	}
	if slices.ContainsFunc(x.Names(), w.skipped) {
		return complete, nil
	}
	value, err := w.judgedValue(j, x)
	if err != nil {
		return complete, err
	}
	if name := w.missingLimit(j.Limits); name != "" {
		w.tell(FindingUnjudged, "found.no_limit", gauge.Text("name", w.called(j)), w.P.TellIn("value", value, j.Unit), gauge.Text("missing", name))
		return Undecided, nil
	}
	limits, err := w.BoundsIn(j.Limits, j.Unit)
	if err != nil {
		return complete, fmt.Errorf("%s: %w", j.Name, err)
	}
	between, err := w.Between(x, j.Unit)
	if err != nil {
		return complete, fmt.Errorf("%s: %w", j.Name, err)
	}
	judgement := Judgement{Name: j.Name, Title: j.Title, Value: value, Unit: j.Unit, Between: between, Allowed: limits, After: after}
	w.decide(&judgement, j.Name, x, j.Limits)
	if judgement.Outcome != Conforms {
		w.findOutside(j, judgement, x)
	}
	return w.settled(j, judgement), nil
}

// missingLimit names what limits need and was not measured; empty when nothing is
// missing.
func (w *work) missingLimit(b procedure.Bounds) string {
	for _, x := range []*formula.Expression{b.MinOf, b.MaxOf} {
		if x == nil {
			continue
		}
		for _, name := range x.Names() {
			if w.skipped(name) {
				return name
			}
		}
	}
	return ""
}

// judgedValue computes the value of a judged result; a formula of its own is
// written down, a measurement or value that stands above is not repeated.
func (w *work) judgedValue(j procedure.Judge, x *formula.Expression) (gauge.Length, error) {
	if x.String() == j.Name {
		return formula.InUnit(w.V.Of[j.Name], j.Unit)
	}
	return w.sum(j.Name, j.Unit, x)
}

// settled writes a judgement down with what follows from it, which it returns for
// the whole.
func (w *work) settled(j procedure.Judge, g Judgement) Outcome {
	outcome := follows(j, g.Outcome)
	switch {
	case outcome == MeasureAgain, outcome == WrongPart:
		g.Outcome = outcome
	case j.Then == procedure.ThenAdvise && g.Outcome != Conforms:
		g.Outcome = Advised
	}
	w.e.Judgements = append(w.e.Judgements, g)
	return outcome
}

// follows is what the outcome of a judged result means for the whole.
func follows(j procedure.Judge, o Outcome) Outcome {
	switch {
	case o == Conforms:
		return Conforms
	case j.Then == procedure.ThenAdvise:
		return complete
	case j.Then == procedure.ThenAgain && o == DoesNotConform:
		return MeasureAgain
	case j.Then == procedure.ThenWrong && o == DoesNotConform:
		return WrongPart
	}
	return o
}

func (w *work) findOutside(j procedure.Judge, g Judgement, x *formula.Expression) {
	if g.nothingStated() {
		return // and that was said
	}
	code, key := FindingOutOfBounds, "found.outside_limits"
	args := append([]gauge.Arg{gauge.Text("name", w.called(j))}, w.P.TellBeside(g.Value, g.Between, "allowed", g.Allowed, g.Unit)...)
	var then gauge.Message
	if j.Otherwise != "" {
		args = append(args, gauge.Text("otherwise", j.Otherwise))
	}
	switch wrong := g.Outcome == DoesNotConform && j.Then == procedure.ThenWrong; {
	case wrong:
		code, key = FindingWrongPart, "found.wrong_part"
		if j.Otherwise == "" {
			then = gauge.Say("then.get_the_part")
		}
	case g.Outcome == Undecided:
		code, key = FindingNearLimit, "found.near_limit"
		if g.Between != nil {
			code = FindingInterval
		}
		if a := w.doubts.Deciding(j.Name, x, g.Unit); a != nil && j.Otherwise == "" {
			then = a.Remedy()
		}
	}
	if g.Outcome == DoesNotConform {
		args = appendNested(args, "hint", w.swapped(x, g.Value, g.Allowed))
	}
	w.tell(code, key, appendNested(args, "then", then)...)
}

// appendNested adds a message as an argument, where there is one.
func appendNested(args []gauge.Arg, name string, m gauge.Message) []gauge.Arg {
	if m.IsZero() {
		return args
	}
	return append(args, gauge.Nested(name, m))
}

// nothingStated reports whether a result is undecided because a guard band is asked
// for and nothing is stated to make it of.
func (g Judgement) nothingStated() bool {
	return g.Outcome == Undecided && g.Probability == nil && g.Between == nil
}

func (w *work) called(j procedure.Judge) string {
	if j.Title != "" {
		return j.Title
	}
	return j.Name
}

// judgeMark compares a mark with the one that is wanted.
func (w *work) judgeMark(j procedure.Judge, after bool) Outcome {
	step := j.Formulas[0].Case.Step
	if w.skipped(step) {
		return complete
	}
	g := Judgement{Name: j.Name, Title: j.Title, Mark: w.V.Marks[step], Wanted: j.Is, Unit: gauge.One, Outcome: Conforms, After: after}
	if g.Mark != j.Is {
		g.Outcome = DoesNotConform
		code, args := FindingOutOfBounds, []gauge.Arg{gauge.Text("name", w.called(j)), gauge.Text("mark", g.Mark), gauge.Text("wanted", j.Is)}
		if j.Otherwise != "" {
			args = append(args, gauge.Text("otherwise", j.Otherwise))
		}
		if j.Then == procedure.ThenWrong {
			code = FindingWrongPart
			if j.Otherwise == "" {
				args = append(args, gauge.Nested("then", gauge.Say("then.get_the_marked", gauge.Text("mark", j.Is))))
			}
		}
		w.tell(code, "found.mark_outside", args...)
	}
	return w.settled(j, g)
}

// skipped reports whether a name is a step that is not measured in this case,
// or a value that needs one.
func (w *work) skipped(name string) bool {
	if s, _, ok := w.P.Step(name); ok {
		return !w.Applies(s)
	}
	_, known := w.V.Of[name]
	return !known
}

// judgeResult compares the closing dimension with its limits.
func (w *work) judgeResult(name string, x *formula.Expression, value gauge.Length, between *procedure.Limits, allowed procedure.Limits, after bool) Outcome {
	g := Judgement{Name: string(w.P.ClosingWord()), Value: value, Unit: w.P.Unit, Between: between, Allowed: allowed, After: after}
	w.decide(&g, name, x, w.P.Allowed)
	w.e.Judgements = append(w.e.Judgements, g)
	outcome := g.Outcome
	said := append([]gauge.Arg{w.P.TellClosing("closing")}, w.P.TellPlayBeside(value, between, allowed)...)
	switch {
	case outcome == DoesNotConform:
		if w.e.Fitted == nil || w.e.Fitted.Thickness == nil || w.e.Gap == nil { // else the prediction tells
			said = appendNested(said, "hint", w.swapped(x, value, allowed))
		}
		w.tell(FindingOutOfBounds, "found.closing_outside", said...)
	case outcome == Undecided && between != nil:
		w.tell(FindingInterval, "found.closing_between", said...)
	case outcome == Undecided && !g.nothingStated():
		w.tell(FindingNearLimit, "found.closing_near_limit", append(said, gauge.Nested("then", w.doubts.Deciding(name, x, w.P.Unit).Remedy()))...)
	}
	return outcome
}

// within compares an interval, or a single value, with limits: inside, outside,
// or neither because a limit lies within the interval.
func within(value gauge.Length, between *procedure.Limits, allowed procedure.Limits) Outcome {
	if between == nil {
		if allowed.Contains(value) {
			return Conforms
		}
		return DoesNotConform
	}
	switch {
	case allowed.Contains(*between.Min) && allowed.Contains(*between.Max):
		return Conforms
	case allowed.Max != nil && *between.Min > *allowed.Max, allowed.Min != nil && *between.Max < *allowed.Min:
		return DoesNotConform
	}
	return Undecided
}

// decide compares a result with its limits, by the rule that follows from what
// makes it. Where nothing is known of its gauges, the result itself decides.
// name is how its line of arithmetic is called.
func (w *work) decide(g *Judgement, name string, x *formula.Expression, limits procedure.Bounds) {
	rule := w.doubts.Ruling(x, limits)
	g.Outcome, g.Rule = within(g.Value, g.Between, g.Allowed), w.ruleName(rule)
	if w.brief == nil {
		g.Worst = w.Worst(x, g.Unit)
	}
	beside := w.doubts.DecideBeside(name, limits)
	a := w.doubts.Assess(name, x, g.Unit)
	if a == nil {
		if rule.Guard && len(rule.Unstated) > 0 {
			g.Outcome = Undecided
			w.tell(FindingUnstated, "found.guard_unstated", gauge.Text("name", name), gauge.Texts("steps", rule.Unstated))
		}
		return
	}
	p, ok := w.doubts.Beside(a, name, x, g.Value, g.Allowed, g.Unit, limits)
	if !beside || !ok {
		w.doubts.SecondOpinion(a)
		p = a.Probability(g.Value, g.Allowed)
	}
	g.Probability, g.Unstated = &p, rule.Unstated
	if !rule.Guard {
		return
	}
	g.Outcome = Outcome(uncertainty.Decide(p, w.P.Decide.Required))
}
