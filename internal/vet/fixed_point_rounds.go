package vet

import (
	"math/big"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/evaluate/rounds"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// roundsFixed tries what a file says of the next round with what it wants: the proof
// between its limits, the next round must ask for the parts that are in, however thick
// they are and whatever is kept of what was measured before. What cannot be worked out,
// or follows from limits that are no numbers, is not tried.
func roundsFixed(p *procedure.Procedure, next shopfile.Value) {
	if len(p.Rounds.Next) == 0 || p.GoesOn() != nil {
		return
	}
	for _, marks := range casesOf(p) {
		lows, highs, ok := proofEnds(p, marks)
		if !ok {
			continue
		}
		for _, in := range []int64{2, 3} {
			for _, kept := range []int64{0, 1} {
				low, okLow := askedNext(p, marks, in, kept, lows)
				high, okHigh := askedNext(p, marks, in, kept, highs)
				if !okLow || !okHigh {
					continue
				}
				for i, place := range p.EachPlace() {
					is := millimetres(in + int64(i))
					if a, b := low[i].Cmp(is), high[i].Cmp(is); a*b <= 0 {
						continue
					}
					if low[i].Cmp(high[i]) > 0 {
						low[i], high[i] = high[i], low[i]
					}
					args := []gauge.Arg{
						gauge.Typed("thickness", p.ShowComputed(is, p.Unit)),
						gauge.Typed("low", p.ShowComputed(low[i], p.Unit)), gauge.Typed("high", p.ShowComputed(high[i], p.Unit)),
					}
					if place.Name != "" {
						args = append(args, gauge.Text("place", place.Name))
					}
					next.Wrong(gauge.Say("entry.rounds-not-fixed", args...))
					return
				}
			}
		}
	}
}

// askedNext is how thick the next round wants the part of each place, when the proof
// read so much, what is kept read so many millimetres, and each part is one millimetre
// thicker than that of the place before.
func askedNext(p *procedure.Procedure, marks map[string]string, in, kept int64, proof map[string]gauge.Length) (asked []*big.Rat, ok bool) {
	round := rounds.Round{Number: 1}
	places := p.EachPlace()
	for i, place := range places {
		thickness := gauge.Length(in+int64(i)) * gauge.Millimetre.Size()
		round.Fitted = append(round.Fitted, procedure.Fitted{Place: place.Name, Thickness: &thickness, Measured: true})
	}
	next, carried, renamed, err := rounds.Next(p, round, nil)
	if err != nil {
		return nil, false
	}
	t := &trial{p: next, marks: marks, is: map[string]gauge.Length{}}
	for _, r := range carried {
		t.is[r.Measurement] = r.Value
	}
	for step, name := range renamed {
		t.is[name] = proof[step]
	}
	wanted := next.EachPlace()
	for i := range wanted {
		thickness, err := t.thickness(&wanted[i], func(string) int64 { return kept }, "")
		if err != nil {
			return nil, false
		}
		asked = append(asked, thickness)
	}
	return asked, len(asked) == len(places)
}

// proofEnds is what the proof reads at the lower and at the upper end of its limits. It
// reports false where that does not follow: a result from several readings, or limits
// that are open or follow from what was measured before.
func proofEnds(p *procedure.Procedure, marks map[string]string) (lows, highs map[string]gauge.Length, ok bool) {
	lows, highs = map[string]gauge.Length{}, map[string]gauge.Length{}
	for _, j := range p.Proof {
		if j.Is != "" || j.Then == procedure.ThenAdvise {
			continue
		}
		if !endsOfProof(p, j.Formulas, j.Limits, j.Unit, marks, lows, highs) {
			return nil, nil, false
		}
	}
	if p.VerifyPlay != nil && !endsOfProof(p, []procedure.Formula{{Expression: p.VerifyPlay}}, p.Allowed, p.Unit, marks, lows, highs) {
		return nil, nil, false
	}
	for _, f := range p.Rounds.Next {
		for _, step := range p.StepsOf(f.Of) {
			if _, known := lows[step]; !known {
				return nil, nil, false // nothing limits it
			}
		}
	}
	return lows, highs, true
}

// endsOfProof works out one result of the proof, which must be a straight line in the
// one step that it is made of.
func endsOfProof(p *procedure.Procedure, formulas []procedure.Formula, limits procedure.Bounds, u gauge.Unit, marks map[string]string, lows, highs map[string]gauge.Length) bool {
	w := compute.New(p, compute.Input{})
	w.TakeConstants()
	for step, mark := range marks {
		w.V.Marks[step] = mark
	}
	x, ok := w.Formula(procedure.Named{Formulas: formulas})
	if !ok || x == nil || limits.Min == nil || limits.Max == nil || limits.MinOf != nil || limits.MaxOf != nil {
		return false
	}
	steps := p.StepsOf(x)
	if len(steps) != 1 || len(x.Names()) != 1 {
		return false
	}
	s, _, _ := p.Step(steps[0])
	at := func(units int64) (*big.Rat, error) {
		l := gauge.Length(units) * s.Unit.Size()
		w.V.Of[s.Name] = formula.Exact(l, s.Unit)
		w.V.Readings[s.Name] = formula.Readings{Of: []gauge.Length{l}, Unit: s.Unit}
		r, err := x.Compute(&w.V)
		if err != nil {
			return nil, err
		}
		return new(big.Rat).Set(r), nil
	}
	nought, err0 := at(0)
	one, err1 := at(1)
	two, err2 := at(2)
	if err0 != nil || err1 != nil || err2 != nil {
		return false
	}
	slope := new(big.Rat).Sub(one, nought)
	if slope.Sign() == 0 || new(big.Rat).Sub(two, one).Cmp(slope) != 0 {
		return false
	}
	for _, end := range []struct {
		limit gauge.Length
		into  map[string]gauge.Length
	}{{*limits.Min, lows}, {*limits.Max, highs}} {
		reads := new(big.Rat).Sub(formula.Exact(end.limit, u), nought)
		reads.Quo(reads, slope).Mul(reads, formula.Exact(s.Unit.Size(), s.Unit))
		l, err := formula.InUnit(reads, s.Unit)
		if before, twice := end.into[s.Name]; err != nil || twice && before != l {
			return false
		}
		end.into[s.Name] = l
	}
	return true
}
