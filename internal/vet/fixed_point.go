package vet

import (
	"maps"
	"math/big"
	"slices"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// fixedPoints tries each sum that may be for a preload with what it wants: the
// part fitted, and no play left to be measured. Then it must ask for the part
// that is in. A sum of readings that cannot be below nought, with a preload on
// top, always asks for more: who measures a second time puts the preload in
// twice. A difference of two readings is nought then as well, so that what is
// taken off is no guard. Such a sum needs a measurement, or a value, that says
// how it stands with the play.
func fixedPoints(p *procedure.Procedure, m *shopfile.Map) {
	places := p.EachPlace()
	at := func(i int) shopfile.Value {
		pm := m
		if fit := m.Get("fit"); fit.Given() {
			pm = fit.Map().Entries()[i].Value.Map()
		}
		if places[i].Thickness != nil {
			return pm.Get("thickness")
		}
		return pm.Get("gap")
	}
	for _, marks := range casesOf(p) {
		t := &trial{p: p, marks: marks}
		var all []growth
		for i := range places {
			g, plain := t.growth(&places[i])
			tried := []growth{g}
			if plain {
				all = append(all, g)
			} else {
				tried = t.bentGrowths(&places[i])
			}
			for _, g := range tried {
				if g.unguarded(p, 3) {
					at(i).Wrong(g.says(p))
					return
				}
			}
		}
		if sum, ok := together(all); ok && sum.unguarded(p, 2) {
			at(0).Wrong(sum.says(p))
			return
		}
	}
}

// mostCases bounds the combinations of marks that are tried.
const mostCases = 256

// cases lists the combinations of the marks that formulas and measurements
// depend on; one empty combination when there are none.
func casesOf(p *procedure.Procedure) []map[string]string {
	all := []map[string]string{{}}
	for _, s := range p.Measure {
		if !decides(p, s.Name) {
			continue
		}
		var next []map[string]string
		for _, marks := range all {
			for _, c := range s.Codes {
				with := map[string]string{s.Name: c.Mark}
				for k, v := range marks {
					with[k] = v
				}
				next = append(next, with)
			}
		}
		if len(next) > mostCases {
			break
		}
		all = next
	}
	return all
}

// decides reports whether a formula or a measurement depends on the mark of a step.
func decides(p *procedure.Procedure, step string) bool {
	for _, s := range p.Measure {
		if slices.ContainsFunc(s.When, func(c procedure.Case) bool { return c.Step == step }) {
			return true
		}
	}
	for _, n := range p.Values {
		if n.Formulas[0].Case.Step == step {
			return true
		}
	}
	return false
}

// trial computes thicknesses from made-up readings.
type trial struct {
	p     *procedure.Procedure
	marks map[string]string
	is    map[string]gauge.Length // what measurements read, in their unit, before all else
}

// growth is a thickness as a sum of its measurements: what each counts, and
// what is added whatever is measured.
type growth struct {
	by      map[string]*big.Rat // the change of the thickness by that of a measurement; without zeros
	more    *big.Rat            // in picometres
	addends int
}

// growth tries one measurement after the other. It reports false for a place
// that is not for a preload, and for a thickness that is no plain sum.
func (t *trial) growth(place *procedure.Place) (growth, bool) {
	g := growth{by: map[string]*big.Rat{}}
	if !place.MayPreload() {
		return g, false
	}
	none := func(string) int64 { return 0 }
	var err error
	if g.more, err = t.thickness(place, none, ""); err != nil {
		return g, false
	}
	total := new(big.Rat).Set(g.more)
	for _, s := range t.p.Measure {
		once, err := t.thickness(place, only(s.Name, 1), "")
		twice, err2 := t.thickness(place, only(s.Name, 2), "")
		if err != nil || err2 != nil {
			return g, false
		}
		once.Sub(once, g.more)
		if twice.Sub(twice, g.more).Cmp(new(big.Rat).Add(once, once)) != 0 {
			return g, false
		}
		if once.Sign() != 0 {
			g.by[s.Name] = once
			total.Add(total, once)
		}
	}
	every, err := t.thickness(place, func(string) int64 { return 1 }, "")
	if err != nil || every.Cmp(total) != 0 {
		return g, false
	}
	g.addends = len(g.by) + t.fixedAddends(place, g.more)
	return g, true
}

func only(name string, value int64) func(string) int64 {
	return func(n string) int64 {
		if n == name {
			return value
		}
		return 0
	}
}

// fixedAddends counts the constants, the bare number and the preload in a sum.
func (t *trial) fixedAddends(place *procedure.Place, more *big.Rat) (n int) {
	rest := new(big.Rat).Set(more)
	for _, c := range t.p.Constants {
		without, err := t.thickness(place, func(string) int64 { return 0 }, c.Name)
		if err != nil {
			continue
		}
		if part := without.Sub(more, without); part.Sign() != 0 {
			rest.Sub(rest, part)
			n++
		}
	}
	if rest.Sign() != 0 {
		n++
	}
	return n
}

// thickness is what a place asks for when each measurement reads so many
// millimetres, or so many of another unit, and one constant is left out.
func (t *trial) thickness(place *procedure.Place, reads func(step string) int64, without string) (*big.Rat, error) {
	w := compute.New(t.p, compute.Input{})
	maps.Copy(w.V.Marks, t.marks)
	for _, s := range t.p.Measure {
		if !w.Applies(s) {
			continue
		}
		unit := s.Unit
		if unit.Kind() == gauge.KindLength {
			unit = gauge.Millimetre
		}
		l := gauge.Length(reads(s.Name)) * unit.Size()
		if is, ok := t.is[s.Name]; ok {
			l = is
		}
		w.V.Of[s.Name] = formula.Exact(l, s.Unit)
		w.V.Readings[s.Name] = formula.Readings{Of: []gauge.Length{l}, Unit: s.Unit}
	}
	for _, c := range t.p.Constants {
		if w.V.Of[c.Name] = c.Exact; c.Name == without {
			w.V.Of[c.Name] = new(big.Rat)
		}
	}
	for _, n := range t.p.Values {
		if x, ok := w.Formula(n); ok {
			if r, err := x.Compute(&w.V); err == nil {
				w.V.Of[n.Name] = r
			}
		}
	}
	if place.Thickness != nil {
		r, err := place.Thickness.Compute(&w.V)
		if err != nil {
			return nil, err
		}
		return new(big.Rat).Set(r), nil
	}
	gap, err := place.Gap.Compute(&w.V)
	if err != nil {
		return nil, err
	}
	play, err := wantedPlay(w, place)
	if err != nil {
		return nil, err
	}
	return new(big.Rat).Sub(gap, play), nil
}

// wantedPlay is the play that a place aims at; a preload is negative.
func wantedPlay(w *compute.Job, place *procedure.Place) (*big.Rat, error) {
	if c := place.Choose; c.Aim == procedure.AimPlay {
		play, err := w.AimedPlay(place)
		return new(big.Rat).SetInt64(int64(play)), err
	}
	allowed, err := w.Bounds(place.Allowed)
	if err != nil {
		return nil, err
	}
	low, high := new(big.Rat).SetInt64(int64(*allowed.Min)), new(big.Rat).SetInt64(int64(*allowed.Max))
	switch place.Choose.Aim {
	case procedure.AimThickest:
		return low, nil
	case procedure.AimThinnest:
		return high, nil
	}
	return formula.MeanOf([]*big.Rat{low, high}), nil
}

// together adds places up that share a measurement: they make one sum.
func together(all []growth) (growth, bool) {
	sum := growth{by: map[string]*big.Rat{}, more: new(big.Rat)}
	shared := false
	for _, g := range all {
		sum.more.Add(sum.more, g.more)
		for name, by := range g.by {
			if before, ok := sum.by[name]; ok {
				shared = true
				by = new(big.Rat).Add(before, by)
			}
			sum.by[name] = by
		}
	}
	for name, by := range sum.by {
		if by.Sign() == 0 {
			delete(sum.by, name)
		}
	}
	sum.addends = len(sum.by) + sum.more.Sign()
	return sum, shared
}

// unguarded reports whether the sum asks for more however often what it asks
// for is fitted, and nothing says how it stands with the play. Fewer addends
// than so many are no part with a play and a preload.
func (g growth) unguarded(p *procedure.Procedure, fewest int) bool {
	if g.more.Sign() <= 0 || g.addends < fewest {
		return false
	}
	left, differs := g.tight(p)
	if len(left) == 0 {
		return false
	}
	said := g.saidOfPlay(p)
	answered := true
	for _, s := range g.lengths(p) {
		if said[s.Name] == procedure.PlayFelt || said[s.Name] == procedure.PlayTakenUp {
			return false
		}
		above := !differs && s.Plausible.Min != nil && *s.Plausible.Min > 0
		answered = answered && (said[s.Name] == procedure.PlayNone || above)
	}
	return !answered
}

// tight takes the differences of two readings out, which are nought without
// play. It lists the lengths that are left; none when something is still taken
// off, for then the sum does not ask for ever more, and none when a difference
// leaves nothing that counts once, as the part that is in does.
func (g growth) tight(p *procedure.Procedure) (left []string, differs bool) {
	for _, s := range g.lengths(p) {
		if g.by[s.Name].Sign() > 0 {
			left = append(left, s.Name)
		}
	}
	for name, by := range g.by {
		if by.Sign() > 0 {
			continue
		}
		i := slices.IndexFunc(left, func(other string) bool { return new(big.Rat).Add(by, g.by[other]).Sign() == 0 })
		if s, _, _ := p.Step(name); i < 0 || s.Unit.Kind() != gauge.KindLength {
			return nil, false
		}
		left, differs = slices.Delete(left, i, i+1), true
	}
	if differs && !slices.ContainsFunc(left, func(name string) bool { return g.by[name].Cmp(millimetres(1)) == 0 }) {
		return nil, false
	}
	return left, differs
}

// saidOfPlay is what the procedure says of the play in each measurement, itself
// or by a value that is computed from it.
func (g growth) saidOfPlay(p *procedure.Procedure) map[string]procedure.PlayState {
	said := map[string]procedure.PlayState{}
	for _, s := range p.Measure {
		said[s.Name] = s.Play
	}
	for _, n := range p.Values {
		for _, f := range n.Formulas {
			if n.Play == "" || f.Expression == nil {
				continue
			}
			for _, step := range p.StepsOf(f.Expression) {
				said[step] = n.Play
			}
		}
	}
	return said
}

// lengths lists the measured lengths of a sum.
func (g growth) lengths(p *procedure.Procedure) []procedure.Step {
	var steps []procedure.Step
	for _, s := range p.Measure {
		if g.by[s.Name] != nil && s.Unit.Kind() == gauge.KindLength && len(s.Codes) == 0 {
			steps = append(steps, s)
		}
	}
	return steps
}

// says names the fault with its remedies.
func (g growth) says(p *procedure.Procedure) gauge.Message {
	var names []string
	said := g.saidOfPlay(p)
	for _, s := range g.lengths(p) {
		if said[s.Name] == "" {
			names = append(names, s.Name)
		}
	}
	if _, differs := g.tight(p); differs {
		return gauge.Say("entry.preload-twice-difference", gauge.Texts("names", names))
	}
	return gauge.Say("entry.preload-twice", gauge.Texts("names", names))
}
