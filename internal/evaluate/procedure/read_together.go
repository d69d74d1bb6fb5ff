package procedure

import (
	"slices"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// together reads how the places are chosen together.
func (r *procedureReader) together(v shopfile.Value) {
	if !v.Given() {
		return
	}
	m := v.Map()
	t := &Together{}
	if first := m.Get("first"); first.Given() {
		t.SplitFirst = first.OneOf("total", "split") == "split"
	}
	for _, p := range r.p.Places {
		delete(r.scope, formula.FittedName(p.Name))
	}
	if total := m.Get("total"); total.Given() {
		t.Total = r.formula(total, &formula.Length)
	}
	if within := m.Get("within"); within.Given() {
		t.Within = within.Positive(r.p.Unit, true)
	}
	m.Done()
	if n := len(r.p.Places); n < 2 || n > mostTogether {
		v.Wrong(gauge.Say("entry.together-count", gauge.Count("most", mostTogether)))
	}
	for _, p := range r.p.Places {
		switch {
		case p.Choose.Aim == AimTable || p.Choose.Aim == AimCode || p.Choose.Aim == AimChart:
			v.Wrong(gauge.Say("entry.together-table", gauge.Text("place", p.Name)))
		case p.Choose.Pack != nil && t.Within == nil:
			v.Wrong(gauge.Say("entry.together-packs", gauge.Text("place", p.Name)))
		case slices.ContainsFunc(p.Names(), func(n string) bool { _, ok := formula.PlaceOf(formula.NameFitted, n); return ok }):
			v.Wrong(gauge.Say("entry.together-waits", gauge.Text("place", p.Name)))
		}
	}
	r.p.Together = t
}

// mostTogether bounds the places that are chosen together.
const mostTogether = 4
