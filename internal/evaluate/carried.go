package evaluate

import (
	"math/big"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
)

// carriedOver asks back what was carried and cannot be: a play of nought, which is
// tight by an unknown amount, and what the measurement could not have been.
func (w *work) carriedOver() (again bool, err error) {
	for _, c := range w.P.Carried {
		r, ok := w.V.Of[c.Name]
		if !ok {
			continue
		}
		value, err := formula.InUnit(r, c.Unit)
		if err != nil {
			return false, err
		}
		if !c.Plausible.Contains(value) {
			again = true
			w.find(FindingImplausible, "%s comes out as %s, and is not within %s: look whether the right part is recorded, and measure the proof again",
				c.Name, w.P.ShowIn(value, c.Unit), w.P.ShowLimitsIn(c.Plausible, c.Unit))
		}
		if c.Play != procedure.PlayFelt {
			continue
		}
		tight, err := w.tight(c, r)
		if err != nil {
			return false, err
		}
		if tight {
			again = true
			w.find(FindingUnfelt, "%s: %s is no play that can be felt: the parts are tight by an unknown amount, and no next round follows from it. Fit a thinner part until there is play, and measure the proof again", c.Name, w.P.ShowIn(value, c.Unit))
		}
	}
	return again, nil
}

// tight reports whether a carried play says nothing of how much there is, by the
// reading that leaves least of it.
func (w *work) tight(c procedure.Carried, value *big.Rat) (bool, error) {
	x := w.FormulaOf(c.Name)
	if x == nil {
		x = formula.Named(c.Name)
	}
	least, most, digit, err := w.everyPlay(x, value, c.Unit)
	felt := digit + 1 // nought itself where no digit is stated
	if c.Least != nil {
		felt = max(felt, *c.Least)
	}
	if c.Tight {
		return least < felt && most > -felt, err
	}
	return least < felt, err
}
