// Package compute is what formulas come to in a job, before anything is concluded from it: the
// readings and what is made of them, the formulas that count in the present case, the
// limits, and between which ends a formula lies.
package compute

import (
	"fmt"
	"slices"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// TakeConstants takes up what is known beforehand.
func (j *Job) TakeConstants() {
	for _, c := range j.P.Constants {
		j.V.Of[c.Name] = c.Exact
	}
}

// Formula is the one that counts in the case that the marks say.
func (j *Job) Formula(n procedure.Named) (*formula.Expression, bool) {
	for _, f := range n.Formulas {
		if f.Case == (procedure.Case{}) || j.V.Marks[f.Case.Step] == f.Case.Mark {
			return f.Expression, true
		}
	}
	return nil, false
}

// Bounds computes limits that depend on what is measured.
func (j *Job) Bounds(b procedure.Bounds) (procedure.Limits, error) { return j.BoundsIn(b, j.P.Unit) }

// BoundsIn computes limits in unit u.
func (j *Job) BoundsIn(b procedure.Bounds, u gauge.Unit) (procedure.Limits, error) {
	limits := b.Limits
	for _, end := range []struct {
		x  *formula.Expression
		to **gauge.Length
	}{{b.MinOf, &limits.Min}, {b.MaxOf, &limits.Max}} {
		if end.x == nil {
			continue
		}
		r, err := end.x.Compute(&j.V)
		if err != nil {
			return procedure.Limits{}, fmt.Errorf("%s: %w", end.x, err)
		}
		l, err := formula.InUnit(r, u)
		if err != nil {
			return procedure.Limits{}, fmt.Errorf("%s: %w", end.x, err)
		}
		*end.to = &l
	}
	if b.Negated {
		limits = limits.Negative()
	}
	if limits.Min != nil && limits.Max != nil && *limits.Min > *limits.Max {
		return procedure.Limits{}, formula.NoValue("formula.crossed", j.P.TellIn("min", *limits.Min, u), j.P.TellIn("max", *limits.Max, u))
	}
	return limits, nil
}

// FormulaOf is the formula of an intermediate result in the present case; nil
// for a leaf.
func (j *Job) FormulaOf(name string) *formula.Expression {
	x, _ := j.Formula(procedure.Named{Formulas: j.P.FormulasOf(name)})
	return x
}

// Entering lists the measurements whose readings make formulas what they are,
// in the order of the procedure: through intermediate values, of the case that
// the marks say. A mark has no gauge; a measurement that is left out in this
// case does not count. While a mark is not read yet, all of its cases count.
func (j *Job) Entering(formulas ...*formula.Expression) []*procedure.Step {
	names := map[string]bool{}
	for _, x := range formulas {
		j.Reached(x, names)
	}
	var steps []*procedure.Step
	for _, list := range [][]procedure.Step{j.P.Measure, j.P.Verify} {
		for i := range list {
			s := &list[i]
			if names[s.Name] && len(s.Codes) == 0 && j.Possible(s.When...) {
				steps = append(steps, s)
			}
		}
	}
	return steps
}

// Reached marks every name that an expression needs, itself or through others.
func (j *Job) Reached(x *formula.Expression, names map[string]bool) {
	if x == nil {
		return
	}
	for _, name := range x.Names() {
		if names[name] {
			continue
		}
		names[name] = true
		for _, f := range j.P.FormulasOf(name) {
			if f.Case == (procedure.Case{}) || j.Possible(f.Case) {
				j.Reached(f.Expression, names)
			}
		}
		// What says how warm a measurement is, is part of it, unless it is stated
		// how far that temperature may be off.
		if s, _, ok := j.P.Step(name); ok && s.Material != nil && j.P.Temperature != nil && j.P.Temperature.Tolerance == nil {
			j.Reached(j.P.Temperature.Of, names)
		}
	}
}

// Possible reports whether no mark that was read speaks against these cases.
func (j *Job) Possible(cases ...procedure.Case) bool {
	return !slices.ContainsFunc(cases, func(c procedure.Case) bool { return j.V.Marks[c.Step] != "" && j.V.Marks[c.Step] != c.Mark })
}

// Applies reports whether a step is measured in the case that the marks say.
// While a mark is not read yet, the step does not apply.
func (j *Job) Applies(s procedure.Step) bool {
	return !slices.ContainsFunc(s.When, func(c procedure.Case) bool { return j.V.Marks[c.Step] != c.Mark })
}

// AimedPlay is the play that a place aims at.
func (j *Job) AimedPlay(place *procedure.Place) (gauge.Length, error) {
	c := place.Choose
	if c.AimOf == nil {
		return c.AimPlay, nil
	}
	r, err := c.AimOf.Compute(&j.V)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", c.AimOf, err)
	}
	play, err := formula.InUnit(r, j.P.Unit)
	if c.AimNegated {
		play = -play
	}
	return play, err
}
