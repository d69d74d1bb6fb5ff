package doubt

import (
	"slices"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
)

// What one evaluation may cost where formulas bend. A station evaluates a job after
// every reading, and nothing else happens there meanwhile.
const (
	mostLive    = 60_000_000 // terms times draws, of all results that bend; ours
	fewestDraws = 10_000     // of one result: the standard error of a probability of 95 % is then 0.2 %
)

// MostBent is how many names, numbers and signs formulas that bend may have together.
const MostBent = mostLive / fewestDraws

// Bent is a result whose formula is no straight line in what is measured.
type Bent struct {
	Result, Place string // where it is judged; empty where that is the whole procedure
	Terms         int    // names, numbers and signs, with the values that it uses
}

// drawsOfEach is how many draws each result gets that bends: as many as usual, or
// fewer where there are many such results, so that all together take no longer; 0
// where there are too many, which a check of the file refuses. It follows from the
// procedure alone.
func drawsOfEach(p *procedure.Procedure) int {
	terms := 0
	for _, r := range BentOf(p) {
		terms += r.Terms
	}
	switch each := mostLive / max(terms, 1); {
	case each >= draws:
		return draws
	case each >= fewestDraws:
		return each / 1000 * 1000
	}
	return 0
}

// BentOf lists results that bend.
func BentOf(p *procedure.Procedure) (all []Bent) {
	d, b := New(compute.New(p, compute.Input{})), bender{p, map[string]curved{}}
	look := func(name, place string, formulas ...*formula.Expression) {
		for _, x := range formulas {
			if x == nil {
				continue
			}
			if b.of(x.Root).bends {
				all = append(all, Bent{name, place, max(10, d.terms(x, map[string]bool{}))})
			}
		}
	}
	for _, judges := range [][]procedure.Judge{p.Judge, p.Proof} {
		for _, j := range judges {
			for _, f := range j.Formulas {
				look(j.Name, "", f.Expression)
			}
			look(j.Name, "", j.Limits.MinOf, j.Limits.MaxOf)
		}
	}
	for _, place := range p.EachPlace() {
		look("", place.Name, place.Gap, place.Thickness, place.Allowed.MinOf, place.Allowed.MaxOf)
	}
	look("", "", p.VerifyPlay)
	return all
}

// curved is what is known of a part of a formula without any reading: whether it
// depends on something that is not exactly known, and whether it is no straight line
// in that, in any case that marks say.
type curved struct{ varies, bends bool }

func (a curved) or(b curved) curved { return curved{a.varies || b.varies, a.bends || b.bends} }

// bender finds out what bends; a little more than what does when it is computed. It
// looks at each name once.
type bender struct {
	p     *procedure.Procedure
	known map[string]curved
}

func (b bender) of(n *formula.Node) curved {
	switch n.Op {
	case formula.OpNumber:
		return curved{}
	case formula.OpName:
		return b.name(n.Name)
	}
	var all curved
	args := make([]curved, len(n.Args))
	for i, arg := range n.Args {
		args[i] = b.of(arg)
		all = all.or(args[i])
	}
	switch n.Op {
	case formula.OpMultiply:
		all.bends = all.bends || args[0].varies && args[1].varies
	case formula.OpDivide:
		all.bends = all.bends || args[1].varies
	case formula.OpCall:
		straight := n.Over || n.Table != nil || formula.IsRounding(n.Name) || n.Name == string(procedure.TakeMean)
		all.bends = all.bends || all.varies && !straight
	}
	return all
}

func (b bender) name(name string) curved {
	if known, ok := b.known[name]; ok {
		return known
	}
	found := curved{varies: true} // it is measured, or a part
	b.known[name] = found
	if i := slices.IndexFunc(b.p.Constants, func(c procedure.Constant) bool { return c.Name == name }); i >= 0 {
		found.varies = b.p.Constants[i].Doubt.Tolerance != nil
	}
	for i, f := range b.p.FormulasOf(name) {
		if i == 0 {
			found = curved{}
		}
		found = found.or(b.of(f.Expression.Root))
	}
	b.known[name] = found
	return found
}
