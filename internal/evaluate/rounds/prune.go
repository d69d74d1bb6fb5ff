package rounds

import (
	"maps"
	"slices"

	"gauged/internal/evaluate/procedure"
)

// prune leaves out what nothing of the round needs any more.
func prune(p *procedure.Procedure, parts procedure.Parts) {
	needed := map[string]bool{}
	var need func(names ...string)
	need = func(names ...string) {
		for _, name := range names {
			if needed[name] {
				continue
			}
			needed[name] = true
			for _, f := range p.FormulasOf(name) {
				need(f.Case.Step)
				need(f.Expression.Names()...)
			}
			if s, _, ok := p.Step(name); ok {
				for _, c := range s.When {
					need(c.Step)
				}
			}
		}
	}
	values := p.Values
	p.Values = nil
	for _, x := range p.FormulasBeforeProof() {
		need(x.Names()...)
	}
	for _, j := range p.Judge {
		need(j.Name)
		for _, f := range j.Formulas {
			need(f.Case.Step)
		}
	}
	p.Values = values
	again := slices.Collect(maps.Keys(needed))
	clear(needed)
	need(again...)
	for _, s := range p.Verify {
		for _, c := range s.When {
			need(c.Step)
		}
	}
	for _, n := range p.Proven {
		for _, f := range n.Formulas {
			need(f.Case.Step)
		}
	}
	for _, place := range p.EachPlace() {
		if f := familyNamed(parts, place.Parts); f != nil && place.Choose.Aim.LooksUp() {
			return
		}
	}
	p.Measure = slices.DeleteFunc(slices.Clone(p.Measure), func(s procedure.Step) bool { return !needed[s.Name] })
	p.Values = slices.DeleteFunc(slices.Clone(p.Values), func(n procedure.Named) bool { return !needed[n.Name] })
}
