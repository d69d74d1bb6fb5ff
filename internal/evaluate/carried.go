package evaluate

import (
	"math/big"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
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
			w.tell(FindingImplausible, "found.carried_implausible", gauge.Text("name", c.Name), w.P.TellIn("value", value, c.Unit), w.P.TellLimitsIn("limits", c.Plausible, c.Unit))
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
			w.tell(FindingUnfelt, "found.carried_not_felt", gauge.Text("name", c.Name), w.P.TellIn("value", value, c.Unit))
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
