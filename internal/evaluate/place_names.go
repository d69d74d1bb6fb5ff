package evaluate

import (
	"slices"
	"strings"

	"gauged/internal/shopfile"
)

// Formulas may name the parts of places. fitted(PLACE) is the part that was
// really fitted there; a later place may use it. part(PLACE) is the part that
// was fitted there or, until then, is recommended; judge may use it, with part
// for the one place of a procedure and parts for those of all places together.
const (
	namePart   = "part"
	nameParts  = "parts"
	nameFitted = "fitted"
)

func fittedName(place string) string { return nameFitted + "(" + place + ")" }

// partName is the name of the part at a place.
func partName(place string) string {
	if place == "" {
		return namePart
	}
	return namePart + "(" + place + ")"
}

// placeOf is the place that such a name speaks of.
func placeOf(kind, name string) (place string, ok bool) {
	inner, ok := strings.CutPrefix(name, kind+"(")
	return strings.TrimSuffix(inner, ")"), ok
}

// placeName reads the name of the part of a place, which is written like a
// function of the place.
func (p *parser) placeName(t token) (*node, bool) {
	if t.text != namePart && t.text != nameFitted || p.next+2 >= len(p.tokens) {
		return nil, false
	}
	open, place, end := p.tokens[p.next], p.tokens[p.next+1], p.tokens[p.next+2]
	if open.text != "(" || place.kind != tokenName || end.text != ")" {
		return nil, false
	}
	p.next += 3
	return &node{op: opName, name: t.text + "(" + place.text + ")", at: t.at}, true
}

// partNames lets results that are judged name the parts of the places.
func (r *procedureReader) partNames(m *shopfile.Map) {
	know := func(name string) {
		if _, taken := r.scope[name]; !taken {
			r.know(name, length, r.p.Unit, false)
			r.parts = append(r.parts, name)
		}
	}
	if fit := m.Get("fit"); fit.Given() && fit.IsMap() {
		for _, e := range fit.Map().Entries() {
			know(partName(e.Key.Text()))
		}
		know(nameParts)
	} else if m.Get("parts").Given() || m.Get("part").Given() {
		know(partName(""))
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
	all := []*Expression{j.Limits.MinOf, j.Limits.MaxOf}
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
