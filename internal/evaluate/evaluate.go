package evaluate

import (
	"fmt"

	"gauged/internal/gauge"
)

// Evaluate says what the input means under the procedure. family is nil
// exactly when the procedure chooses from none. An error means that the input
// does not belong to the procedure or that a sum is beyond the range of a
// length; readings that cannot be right are findings, not errors.
func Evaluate(p *Procedure, family *Family, in Input) (Evaluation, error) {
	if (p.Parts != "") != (family != nil) {
		return Evaluation{}, fmt.Errorf("procedure %s needs the part family %q", p.ID, p.Parts)
	}
	w := &work{p: p, family: family, values: map[string]gauge.Length{}}
	w.e = Evaluation{
		Allowed: p.Allowed, DecisionRule: SimpleAcceptance,
		ProcedureID: p.ID, ProcedureHash: p.Hash, Fitted: in.Fitted,
	}
	if family != nil {
		w.e.PartsHash = family.Hash
	}
	if err := w.evaluate(in); err != nil {
		return Evaluation{}, fmt.Errorf("procedure %s: %w", p.ID, err)
	}
	return w.e, nil
}

// work is one evaluation under construction.
type work struct {
	p      *Procedure
	family *Family
	values map[string]gauge.Length // by name, for expressions
	e      Evaluation
}

func (w *work) evaluate(in Input) error {
	if err := w.belong(in.Readings); err != nil {
		return err
	}
	before := w.measure(w.p.Measure, false, in.Readings)
	after := w.measure(w.p.Verify, true, in.Readings)
	if w.e.Outcome = before; before != complete {
		return nil
	}
	if err := w.chain(); err != nil {
		return err
	}
	if !w.p.ChoosesPart() {
		w.judge(*w.e.Gap)
		return nil
	}
	w.part()
	if in.Fitted != nil {
		w.fitted(in.Fitted)
	}
	if len(w.p.Verify) == 0 || after == Measuring {
		return nil
	}
	return w.verify(after)
}

// belong refuses readings of measurements that the procedure does not have.
func (w *work) belong(readings []Reading) error {
	for _, r := range readings {
		if _, _, ok := w.p.Step(r.Measurement); !ok {
			return fmt.Errorf("there is no measurement %q", r.Measurement)
		}
	}
	return nil
}

// chain computes the intermediate results and the gap.
func (w *work) chain() error {
	for _, c := range w.p.Constants {
		w.values[c.Name] = c.Value
	}
	for _, v := range w.p.Values {
		if err := w.sum(v.Name, v.Expression); err != nil {
			return err
		}
	}
	if err := w.sum("gap", w.p.Gap); err != nil {
		return err
	}
	gap := w.values["gap"]
	w.e.Gap = &gap
	return nil
}

// sum computes one line of arithmetic and writes it down.
func (w *work) sum(name string, x *Expression) error {
	value, err := x.Value(w.values)
	if err != nil {
		return fmt.Errorf("%s = %s: %w", name, x, err)
	}
	worked := x.Worked(func(n string) string { return w.p.Text(w.values[n]) })
	w.values[name] = value
	w.e.Sums = append(w.e.Sums, Sum{name, x.String(), worked, value})
	return nil
}

// judge compares a measured result with the limits.
func (w *work) judge(result gauge.Length) {
	if w.p.Allowed.Contains(result) {
		w.e.Outcome = Conforms
		return
	}
	w.e.Outcome = DoesNotConform
	w.find(FindingOutOfBounds, "the %s is %s, allowed is %s", w.p.word(), w.p.showPlay(result), w.p.showAllowed())
}

func (w *work) find(code FindingCode, format string, args ...any) {
	w.e.Findings = append(w.e.Findings, Finding{code, fmt.Sprintf(format, args...)})
}
