package procedure

import (
	"slices"

	"gauged/internal/evaluate/formula"
	"gauged/internal/shopfile"
)

// partNames lets results that are judged name the parts of the places.
func (r *procedureReader) partNames(m *shopfile.Map) {
	know := func(name string) {
		if _, taken := r.scope[name]; !taken {
			r.know(name, formula.Length, r.p.Unit, false)
			r.parts = append(r.parts, name)
		}
	}
	if fit := m.Get("fit"); fit.Given() && fit.IsMap() {
		for _, e := range fit.Map().Entries() {
			know(formula.PartName(e.Key.Text()))
		}
		know(formula.NameParts)
	} else if m.Get("parts").Given() || m.Get("part").Given() {
		know(formula.PartName(""))
	}
}

// forgetParts takes the names of parts, and of results that need one, out of
// what the sums of the places may use.
func (r *procedureReader) forgetParts() {
	for _, name := range r.parts {
		delete(r.scope, name)
	}
	for i := range r.p.Judge {
		if j := &r.p.Judge[i]; j.uses(r.parts) {
			j.OfParts = true
			r.parts = append(r.parts, j.Name)
			delete(r.scope, j.Name)
		}
	}
}

// uses reports whether a judged result or its limits need one of the names.
func (j *Judge) uses(names []string) bool {
	all := []*formula.Expression{j.Limits.MinOf, j.Limits.MaxOf}
	for _, f := range j.Formulas {
		all = append(all, f.Expression)
	}
	for _, x := range all {
		if x != nil && slices.ContainsFunc(x.Names(), func(n string) bool { return slices.Contains(names, n) }) {
			return true
		}
	}
	return false
}

// GapName is how the line of arithmetic is called by which a part is chosen.
func (p *Place) GapName() string {
	if p.NoGap {
		return p.Prefix() + "look_up"
	}
	return p.Prefix() + "gap"
}
