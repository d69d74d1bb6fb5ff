package evaluate

import (
	"errors"
	"fmt"
	"slices"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Evaluate says what the input means under the procedure. parts gives the
// families that the procedure chooses from; it may be nil when there are none.
// An error means that the input does not belong to the procedure or that a sum
// is beyond the range of a length; readings that cannot be right are findings,
// not errors.
func Evaluate(p *procedure.Procedure, parts procedure.Parts, in compute.Input) (Evaluation, error) {
	return evaluated(p, parts, in, func(*work) {})
}

// evaluated is an evaluation that was set up.
func evaluated(p *procedure.Procedure, parts procedure.Parts, in compute.Input, setUp func(*work)) (Evaluation, error) {
	w, err := worked(p, parts, in, setUp)
	if err != nil {
		return Evaluation{}, err
	}
	return w.e, nil
}

func (w *work) done() (Evaluation, error) {
	err := w.evaluate()
	w.e.Budgets = slices.DeleteFunc(w.doubts.Budgets, func(b doubt.Budget) bool { return b.Of == "" })
	if no := (*formula.RefusalError)(nil); errors.As(err, &no) {
		w.e.Outcome = MeasureAgain
		w.tell(FindingNotInTable, "found.not_in_table", gauge.Because("what", err))
		err = nil
	}
	if none := (*formula.DomainError)(nil); errors.As(err, &none) {
		w.e.Outcome = MeasureAgain
		w.tell(FindingNoValue, "found.no_value", gauge.Because("what", err))
		return w.e, nil
	}
	if not := (*formula.MissingError)(nil); errors.As(err, &not) {
		w.e.Outcome = Undecided
		w.tell(FindingUnjudged, "found.no_formula", gauge.Because("what", err))
		err = nil
	}
	if err != nil {
		return Evaluation{}, fmt.Errorf("procedure %s: %w", w.P.ID, err)
	}
	w.addAfterProof()
	w.e.DecisionRule = w.overall()
	return w.e, nil
}

// work is one evaluation under construction.
type work struct {
	*compute.Job
	stock    procedure.Families // what is left of each family
	reserved []reserved         // see worked
	looked   map[string]bool    // what was looked up in tables and written down
	doubts   *doubt.Doubts
	brief    *Brief     // nil: everything is written down
	fits     []*fitting // the places, when they are worked out
	e        Evaluation
}

// withoutParts is an evaluation that looks no part up.
func withoutParts(p *procedure.Procedure, in compute.Input) *work {
	w := &work{
		Job: compute.New(p, in), stock: procedure.Families{}, looked: map[string]bool{},
	}
	w.Fitted = w.partsNamed
	w.doubts = doubt.New(w.Job)
	w.doubts.Say = func(code doubt.Code, says gauge.Message) { w.point(FindingCode(code), says) }
	w.e = Evaluation{ProcedureID: p.ID, ProcedureHash: p.Hash}
	w.e.Allowed = p.Allowed.Limits
	return w
}

func newWork(p *procedure.Procedure, parts procedure.Parts, in compute.Input) (*work, error) {
	w := withoutParts(p, in)
	if id := p.Lacks(parts); id != "" {
		return nil, fmt.Errorf("procedure %s needs the part family %q", p.ID, id)
	}
	for i, id := range p.FamilyIDs() {
		f := parts.Family(id)
		if w.stock[id] = f; i == 0 {
			w.e.PartsHash = f.Hash
		} else {
			w.e.OtherParts = append(w.e.OtherParts, f.Hash)
		}
	}
	return w, nil
}

func (w *work) evaluate() error {
	if err := w.belong(); err != nil {
		return err
	}
	before := w.measure(w.P.Measure, false)
	after := w.measure(w.P.Verify, true)
	if w.e.Outcome = before; before != complete {
		w.tooNarrow()
		return nil
	}
	if err := w.correct(w.P.Measure); err != nil {
		return err
	}
	if err := w.chain(w.P.Values); err != nil {
		return err
	}
	if again, err := w.unfeltValues(); err != nil || again {
		w.e.Outcome = MeasureAgain
		return err
	}
	if again, err := w.carriedOver(); err != nil || again {
		w.e.Outcome = MeasureAgain
		return err
	}
	done, err := w.judged()
	if err != nil || done {
		return err
	}
	if !w.P.ChoosesPart() {
		return w.result()
	}
	if err := w.eachPlace(); err != nil {
		return err
	}
	if done, err := w.judgeParts(); err != nil || done {
		return err
	}
	if len(w.P.Verify) == 0 || after == Measuring {
		return nil
	}
	return w.verify(after)
}

// belong refuses readings of measurements, and parts of places, that the
// procedure does not have.
func (w *work) belong() error {
	for _, r := range w.In.Readings {
		if _, _, ok := w.P.Step(r.Measurement); !ok {
			var names []string
			for _, s := range slices.Concat(w.P.Measure, w.P.Verify) {
				names = append(names, s.Name)
			}
			return gauge.WrongInput("entry.no-measurement", gauge.Text("measurement", r.Measurement), gauge.Others("others", r.Measurement, names))
		}
	}
	for _, f := range w.In.Fitted {
		if _, ok := w.P.PlaceNamed(f.Place); !ok && f.Place != "" {
			var names []string
			for _, place := range w.P.EachPlace() {
				if place.Name != "" {
					names = append(names, place.Name)
				}
			}
			return gauge.WrongInput("refusal.part.place-unknown", gauge.Text("place", f.Place), gauge.Texts("places", names))
		}
	}
	return nil
}

// tell points something out: code is for programs, key is the message's.
func (w *work) tell(code FindingCode, key string, args ...gauge.Arg) {
	w.point(code, gauge.Say(key, args...))
}

func (w *work) point(code FindingCode, says gauge.Message) {
	if w.brief == nil {
		w.e.Findings = append(w.e.Findings, Finding{code, says})
	}
}
