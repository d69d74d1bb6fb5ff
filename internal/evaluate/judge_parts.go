package evaluate

import (
	"math/big"

	"gauged/internal/evaluate/formula"
)

// judgeParts compares results that need the parts of the places with their
// limits, once every place has its part: the one that was fitted, else the one
// that is recommended. It reports whether that ends the evaluation.
func (w *work) judgeParts() (done bool, err error) {
	if w.e.Outcome != FitPart && w.e.Outcome != VerifyFit || !w.knowParts() {
		return false, nil
	}
	outcome := w.judgeTotal()
	for _, j := range w.P.Judge {
		if !j.OfParts {
			continue
		}
		o, err := w.judge(j, false)
		if err != nil {
			return false, err
		}
		outcome = worse(outcome, o)
	}
	if outcome == complete || outcome == Conforms {
		return false, nil
	}
	w.e.Outcome = outcome
	return true, nil
}

// knowParts lets formulas use the parts of the places. It reports false while
// a place has none.
func (w *work) knowParts() bool {
	total := new(big.Rat)
	for _, f := range w.e.EachFit() {
		in := w.partIn(f)
		if in == nil {
			return false
		}
		w.count(formula.PartName(f.Place), in)
		total.Add(total, in.Thickness)
	}
	if _, taken := w.V.Of[formula.NameParts]; !taken {
		w.V.Of[formula.NameParts] = total
	}
	return true
}
