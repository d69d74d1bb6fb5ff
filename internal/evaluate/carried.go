package evaluate

import (
	"math/big"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
)

// carried is what a round takes over from the one before in the place of a
// measurement.
type carried struct {
	name      string
	unit      gauge.Unit
	play      PlayState
	least     *gauge.Length // that must be felt; nil: what the gauge can show
	plausible Limits
	tight     bool // it may be a preload, which is below nought
}

// carriedOver asks back what was carried and cannot be: a play of nought, which is
// tight by an unknown amount, and what the measurement could not have been.
func (w *work) carriedOver() (again bool, err error) {
	for _, c := range w.p.carried {
		r, ok := w.v.Of[c.name]
		if !ok {
			continue
		}
		value, err := formula.InUnit(r, c.unit)
		if err != nil {
			return false, err
		}
		if !c.plausible.Contains(value) {
			again = true
			w.find(FindingImplausible, "%s comes out as %s, and is not within %s: look whether the right part is recorded, and measure the proof again",
				c.name, w.p.showIn(value, c.unit), w.p.showLimitsIn(c.plausible, c.unit))
		}
		if c.play != PlayFelt {
			continue
		}
		tight, err := w.tight(c, r)
		if err != nil {
			return false, err
		}
		if tight {
			again = true
			w.find(FindingUnfelt, "%s: %s is no play that can be felt: the parts are tight by an unknown amount, and no next round follows from it. Fit a thinner part until there is play, and measure the proof again", c.name, w.p.showIn(value, c.unit))
		}
	}
	return again, nil
}

// tight reports whether a carried play says nothing of how much there is, by the
// reading that leaves least of it.
func (w *work) tight(c carried, value *big.Rat) (bool, error) {
	x := w.formulaOf(c.name)
	if x == nil {
		x = formula.Named(c.name)
	}
	least, most, digit, err := w.everyPlay(x, value, c.unit)
	felt := digit + 1 // nought itself where no digit is stated
	if c.least != nil {
		felt = max(felt, *c.least)
	}
	if c.tight {
		return least < felt && most > -felt, err
	}
	return least < felt, err
}
