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
	w.TakeConstants()
	for _, n := range named {
		x, ok := w.Formula(n)
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

// sum computes one line of arithmetic, shown in unit u, and writes it down.
func (w *work) sum(name string, u gauge.Unit, x *formula.Expression) (gauge.Length, error) {
	r, err := x.Compute(&w.V)
	if err != nil {
		return 0, fmt.Errorf("%s = %s: %w", name, x, err)
	}
	value, err := formula.InUnit(r, u)
	if err != nil {
		return 0, fmt.Errorf("%s = %s: %w", name, x, err)
	}
	between, err := w.Between(x, u)
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
	if _, taken := w.V.Of[name]; !taken { // a measurement may be called "gap", too
		w.V.Of[name] = r
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
	if mark, ok := w.V.Marks[name]; ok && w.V.Of[name] == nil {
		return mark
	}
	if !all {
		return w.number(name, w.V.Of[name], line)
	}
	list := w.V.Readings[name].Exact()
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
	u := w.P.Unit
	if shown, ok := w.P.Units[name]; ok {
		u = shown
	}
	if c, ok := w.P.Constant(name); ok && !c.Unit.Known() {
		return c.Text // in a quotient of units
	}
	l, err := formula.InUnit(r, u)
	if err != nil {
		return r.FloatString(3)
	}
	return w.P.Operand(l, u, line)
}

// literal writes a number that a formula gives as a length in the procedure's
// unit.
func (w *work) literal(text string, line gauge.Unit) string {
	l, err := gauge.ParseLength(text, w.P.Unit)
	if err != nil || line == w.P.Unit {
		return text
	}
	return w.P.Operand(l, w.P.Unit, line)
}

// result judges the gap of a procedure that fits nothing, or says that there is
// nothing to judge it by.
func (w *work) result() error {
	if w.P.Gap == nil {
		if len(w.e.Judgements) == 0 {
			w.e.Outcome = Calculated
			w.assessValues()
		}
		return nil
	}
	gap, err := w.sum("gap", w.P.Unit, w.P.Gap)
	if err != nil {
		return err
	}
	allowed, err := w.Bounds(w.P.Allowed)
	if err != nil {
		return err
	}
	w.e.Gap, w.e.Allowed, w.e.Between = &gap, allowed, w.lastBetween()
	w.e.Outcome = worse(w.e.Outcome, w.judgeResult("gap", w.P.Gap, gap, w.e.Between, allowed, false))
	return nil
}

// assessValues makes the budgets of results that nothing judges.
func (w *work) assessValues() {
	for _, n := range w.P.Values {
		if x, ok := w.Formula(n); ok {
			w.doubts.Assess(n.Name, x, n.Unit)
		}
	}
}

// lastBetween is the interval of the line of arithmetic that was written last.
func (w *work) lastBetween() *procedure.Limits { return w.e.Sums[len(w.e.Sums)-1].Between }

// lookedUp writes down what tables give in the middle of a sum, a line for each,
// so that the sum can be followed with the print beside it.
func (w *work) lookedUp(x *formula.Expression) error {
	for _, part := range x.TableCalls() {
		if w.looked[part.String()] {
			continue
		}
		w.looked[part.String()] = true
		table := part.Root.Table
		r, err := part.Compute(&w.V)
		if err != nil {
			return err
		}
		value, err := formula.InUnit(r, table.Unit)
		if err != nil {
			return err
		}
		between, err := w.Between(part, table.Unit)
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
