package evaluate

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// chain computes intermediate results, in the order of the procedure.
func (w *work) chain(named []procedure.Named) error {
	w.chainConstants()
	for _, n := range named {
		x, ok := w.formula(n)
		if !ok {
			continue // its case is not measured; what needs it will say so
		}
		if slices.ContainsFunc(x.Names(), w.skipped) {
			continue // as above
		}
		if _, err := w.sum(n.Name, n.Unit, x); err != nil {
			return err
		}
	}
	return nil
}

// chainConstants takes up what is known beforehand.
func (w *work) chainConstants() {
	for _, c := range w.p.Constants {
		w.v.Of[c.Name] = c.Exact
	}
}

// formula is the one that counts in the case that the marks say.
func (w *work) formula(n procedure.Named) (*formula.Expression, bool) {
	for _, f := range n.Formulas {
		if f.Case == (procedure.Case{}) || w.marks[f.Case.Step] == f.Case.Mark {
			return f.Expression, true
		}
	}
	return nil, false
}

// sum computes one line of arithmetic, shown in unit u, and writes it down.
func (w *work) sum(name string, u gauge.Unit, x *formula.Expression) (gauge.Length, error) {
	r, err := x.Compute(&w.v)
	if err != nil {
		return 0, fmt.Errorf("%s = %s: %w", name, x, err)
	}
	value, err := formula.InUnit(r, u)
	if err != nil {
		return 0, fmt.Errorf("%s = %s: %w", name, x, err)
	}
	between, err := w.between(x, u)
	if err != nil {
		return 0, fmt.Errorf("%s = %s: %w", name, x, err)
	}
	if err := w.lookedUp(x); err != nil {
		return 0, fmt.Errorf("%s = %s: %w", name, x, err)
	}
	line := Sum{Name: name, Value: value, Unit: u, Between: between}
	if w.brief == nil {
		line.Expression, line.Worked = x.String(), w.workedLine(x, u)
	}
	w.e.Sums = append(w.e.Sums, line)
	if _, taken := w.v.Of[name]; !taken { // a measurement may be called "gap", too
		w.v.Of[name] = r
	}
	return value, nil
}

// workedLine writes a line of arithmetic with numbers in the place of names, in
// unit u.
func (w *work) workedLine(x *formula.Expression, u gauge.Unit) string {
	return x.Worked(
		func(name string, all bool) string { return w.worked(name, all, u) },
		func(text string) string { return w.literal(text, u) })
}

// worked writes a value, or the readings of a step, into a line of arithmetic.
func (w *work) worked(name string, all bool, line gauge.Unit) string {
	if mark, ok := w.marks[name]; ok && w.v.Of[name] == nil {
		return mark
	}
	if !all {
		return w.number(name, w.v.Of[name], line)
	}
	list := w.v.Readings[name].Exact()
	texts := make([]string, len(list))
	for i, r := range list {
		texts[i] = w.number(name, r, line)
	}
	return strings.Join(texts, ", ")
}

// number writes a value into a line of arithmetic in unit line. What has that unit
// stands bare, and so does a length that is exactly so much in it; all else
// carries the unit in which it is shown.
func (w *work) number(name string, r *big.Rat, line gauge.Unit) string {
	u := w.p.Unit
	if shown, ok := w.p.Units[name]; ok {
		u = shown
	}
	if c, ok := w.p.Constant(name); ok && !c.Unit.Known() {
		return c.Text // in a quotient of units
	}
	l, err := formula.InUnit(r, u)
	if err != nil {
		return r.FloatString(3)
	}
	return w.p.Operand(l, u, line)
}

// literal writes a number that a formula gives as a length in the procedure's
// unit.
func (w *work) literal(text string, line gauge.Unit) string {
	l, err := gauge.ParseLength(text, w.p.Unit)
	if err != nil || line == w.p.Unit {
		return text
	}
	return w.p.Operand(l, w.p.Unit, line)
}

// result judges the gap of a procedure that fits nothing, or says that there is
// nothing to judge it by.
func (w *work) result() error {
	if w.p.Gap == nil {
		if len(w.e.Judgements) == 0 {
			w.e.Outcome = Calculated
			w.assessValues()
		}
		return nil
	}
	gap, err := w.sum("gap", w.p.Unit, w.p.Gap)
	if err != nil {
		return err
	}
	allowed, err := w.bounds(w.p.Allowed)
	if err != nil {
		return err
	}
	w.e.Gap, w.e.Allowed, w.e.Between = &gap, allowed, w.lastBetween()
	w.e.Outcome = worse(w.e.Outcome, w.judgeResult("gap", w.p.Gap, gap, w.e.Between, allowed, false))
	return nil
}

// assessValues makes the budgets of results that nothing judges.
func (w *work) assessValues() {
	for _, n := range w.p.Values {
		if x, ok := w.formula(n); ok {
			w.doubts.assess(n.Name, x, n.Unit)
		}
	}
}

// lastBetween is the interval of the line of arithmetic that was written last.
func (w *work) lastBetween() *procedure.Limits { return w.e.Sums[len(w.e.Sums)-1].Between }

// crossed says that limits that follow from what was measured cannot be.
func crossed(format string, args ...any) error {
	return &formula.DomainError{Text: fmt.Sprintf(format, args...)}
}

// bounds computes limits that depend on what is measured.
func (w *work) bounds(b procedure.Bounds) (procedure.Limits, error) { return w.boundsIn(b, w.p.Unit) }

func (w *work) boundsIn(b procedure.Bounds, u gauge.Unit) (procedure.Limits, error) {
	limits := b.Limits
	for _, end := range []struct {
		x  *formula.Expression
		to **gauge.Length
	}{{b.MinOf, &limits.Min}, {b.MaxOf, &limits.Max}} {
		if end.x == nil {
			continue
		}
		r, err := end.x.Compute(&w.v)
		if err != nil {
			return procedure.Limits{}, fmt.Errorf("limit %s: %w", end.x, err)
		}
		l, err := formula.InUnit(r, u)
		if err != nil {
			return procedure.Limits{}, fmt.Errorf("limit %s: %w", end.x, err)
		}
		*end.to = &l
	}
	if b.Negated {
		limits = limits.Negative()
	}
	if limits.Min != nil && limits.Max != nil && *limits.Min > *limits.Max {
		return procedure.Limits{}, crossed("the limits come out as %s to %s: the smaller is the larger one", w.p.TextWithUnit(*limits.Min, u), w.p.TextWithUnit(*limits.Max, u))
	}
	return limits, nil
}

// lookedUp writes down what tables give in the middle of a sum, a line for each,
// so that the sum can be followed with the print beside it.
func (w *work) lookedUp(x *formula.Expression) error {
	for _, part := range x.TableCalls() {
		if w.looked[part.String()] {
			continue
		}
		w.looked[part.String()] = true
		table := part.Root.Table
		r, err := part.Compute(&w.v)
		if err != nil {
			return err
		}
		value, err := formula.InUnit(r, table.Unit)
		if err != nil {
			return err
		}
		between, err := w.between(part, table.Unit)
		if err != nil {
			return err
		}
		line := Sum{Name: table.Name, Value: value, Unit: table.Unit, Between: between}
		if w.brief == nil {
			line.Expression, line.Worked = part.String(), w.workedLine(part, table.Unit)
		}
		w.e.Sums = append(w.e.Sums, line)
	}
	return nil
}
