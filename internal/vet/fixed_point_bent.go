package vet

import (
	"math/big"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// triedParts are the thicknesses of the part that is in, in millimetres, with
// which a formula is tried that is no plain sum: a limit in it hides no more
// than some of them.
var triedParts = []int64{1, 2, 3}

// bentGrowths tries a thickness that is no plain sum by numbers: each measured
// length in turn stands for the part that is in, and everything else reads
// nought. What always asks for more then grows, by what the other measurements
// add to the part that is in.
func (t *trial) bentGrowths(place *procedure.Place) []growth {
	if !place.MayPreload() {
		return nil
	}
	var all []growth
	for _, s := range t.p.Measure {
		if s.Unit.Kind() != gauge.KindLength || len(s.Codes) > 0 {
			continue
		}
		if g, ok := t.growthAround(place, s.Name); ok {
			all = append(all, g)
		}
	}
	return all
}

// growthAround is what a place asks for with the wanted part in, which one
// measurement stands for. It reports false when it does not ask for more with
// every part tried.
func (t *trial) growthAround(place *procedure.Place, part string) (g growth, ok bool) {
	for _, in := range triedParts {
		asked, err := t.thickness(place, only(part, in), "")
		if err != nil {
			return g, false
		}
		more := asked.Sub(asked, millimetres(in))
		if more.Sign() <= 0 {
			return g, false
		}
		if g.more == nil || more.Cmp(g.more) < 0 {
			g.more = more
		}
		if bent := new(big.Rat).Sub(more, g.more); bent.Cmp(millimetres(1)) >= 0 {
			return g, false // it is no part that is in: it counts more than once
		}
	}
	g.by = map[string]*big.Rat{part: millimetres(1)}
	const from = 2
	base, _ := t.thickness(place, only(part, from), "")
	for _, s := range t.p.Measure {
		if s.Name == part {
			continue
		}
		with := func(name string) int64 {
			if name == s.Name {
				return 1
			}
			return only(part, from)(name)
		}
		once, err := t.thickness(place, with, "")
		if err != nil || once.Cmp(base) == 0 {
			continue
		}
		g.by[s.Name] = once.Sub(once, base)
	}
	g.addends = len(g.by) + 1
	return g, true
}

func millimetres(n int64) *big.Rat {
	return new(big.Rat).SetInt64(n * int64(gauge.Millimetre.Size()))
}
