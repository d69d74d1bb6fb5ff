package procedure

import (
	"slices"

	"gauged/internal/evaluate/formula"
)

// StepsOf lists the measurements that an expression uses, itself or through
// values.
func (p *Procedure) StepsOf(x *formula.Expression) []string {
	var steps []string
	for _, name := range x.Names() {
		if _, _, ok := p.Step(name); ok {
			steps = append(steps, name)
		}
		for _, f := range p.FormulasOf(name) {
			if f.Expression != nil {
				steps = append(steps, p.StepsOf(f.Expression)...)
			}
		}
	}
	return steps
}

// FormulasOf are the formulas of an intermediate result or of a judged one; nil
// for a measurement, a constant, and a result that is one of these.
func (p *Procedure) FormulasOf(name string) []Formula {
	for _, named := range [][]Named{p.Values, p.Proven} {
		for _, n := range named {
			if n.Name == name {
				return n.Formulas
			}
		}
	}
	for _, judges := range [][]Judge{p.Judge, p.Proof} {
		for _, j := range judges {
			if j.Name == name && j.Is == "" && len(j.Formulas) > 0 && j.Formulas[0].Expression.String() != name {
				return j.Formulas
			}
		}
	}
	return nil
}

// FormulasBeforeProof lists every formula that is computed before the proof, and those
// of the limits of the proof.
func (p *Procedure) FormulasBeforeProof() []*formula.Expression {
	var all []*formula.Expression
	add := func(x *formula.Expression) {
		if x != nil {
			all = append(all, x)
		}
	}
	named := func(n Named) {
		for _, f := range n.Formulas {
			add(f.Expression)
		}
	}
	for _, n := range p.Values {
		named(n)
	}
	for _, j := range p.Judge {
		named(j.Named)
		add(j.Limits.MinOf)
		add(j.Limits.MaxOf)
	}
	for _, j := range p.Proof {
		add(j.Limits.MinOf)
		add(j.Limits.MaxOf)
	}
	places := p.EachPlace()
	for i := range places {
		place := &places[i]
		for _, x := range []*formula.Expression{place.Gap, place.Thickness, place.Allowed.MinOf, place.Allowed.MaxOf, place.Choose.AimOf} {
			add(x)
		}
	}
	if p.Temperature != nil {
		add(p.Temperature.Of)
	}
	if t := p.Together; t != nil {
		add(t.Total)
	}
	return all
}

// EveryFormula lists every formula of a procedure.
func (p *Procedure) EveryFormula() []*formula.Expression {
	all := p.FormulasBeforeProof()
	for _, named := range p.Proven {
		for _, f := range named.Formulas {
			all = append(all, f.Expression)
		}
	}
	for _, j := range p.Proof {
		for _, f := range j.Formulas {
			all = append(all, f.Expression)
		}
	}
	if p.VerifyPlay != nil {
		all = append(all, p.VerifyPlay)
	}
	return slices.DeleteFunc(all, func(x *formula.Expression) bool { return x == nil })
}

// Constant returns the constant of that name.
func (p *Procedure) Constant(name string) (Constant, bool) {
	i := slices.IndexFunc(p.Constants, func(c Constant) bool { return c.Name == name })
	if i < 0 {
		return Constant{}, false
	}
	return p.Constants[i], true
}

// Names lists the names that the formulas of a place use.
func (p *Place) Names() []string {
	var names []string
	for _, x := range []*formula.Expression{p.Gap, p.Thickness, p.Allowed.MinOf, p.Allowed.MaxOf, p.Choose.AimOf} {
		if x != nil {
			names = append(names, x.Names()...)
		}
	}
	return names
}
