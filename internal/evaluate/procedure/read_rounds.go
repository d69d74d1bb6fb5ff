package procedure

import (
	"maps"
	"slices"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// usualRounds is how many rounds are made where the procedure does not say; ours.
const usualRounds = 3

// rounds reads how one round follows from the one before. Its formulas may use
// what is measured after fitting, constants and the parts that are fitted; so none
// can follow from itself.
func (r *procedureReader) rounds(v shopfile.Value) {
	r.p.Rounds.Most = usualRounds
	r.p.ending = maps.Clone(r.scope)
	if v.Given() && len(r.p.Verify) == 0 {
		v.Wrong(gauge.Say("entry.rounds-no-proof"))
		return
	}
	if len(r.p.Verify) == 0 {
		return
	}
	for _, place := range r.p.EachPlace() {
		name := formula.FittedName(place.Name)
		r.p.ending[name] = formula.Meaning{Of: formula.Length}
	}
	if !v.Given() {
		return
	}
	m := v.Map()
	if most := m.Get("most"); most.Given() {
		r.p.Rounds.Most = most.Int(1, 20)
	}
	if next := m.Get("next"); next.Given() {
		r.next(next)
	}
	m.Done()
}

func (r *procedureReader) next(v shopfile.Value) {
	now := r.scope
	r.scope = r.p.ending
	defer func() { r.scope = now }()
	for _, place := range r.p.EachPlace() {
		if place.Choose.Aim.LooksUp() {
			v.Wrong(gauge.Say("entry.rounds-look-up"))
			return
		}
	}
	for _, e := range v.Map().Entries() {
		name := e.Key.Text()
		i := slices.IndexFunc(r.p.Measure, func(s Step) bool { return s.Name == name })
		if i < 0 || len(r.p.Measure[i].Codes) > 0 {
			e.Key.Wrong(gauge.Say("entry.rounds-no-step", shopfile.Quoted("name", name)))
			continue
		}
		of := formula.DimensionOf(r.p.Measure[i].Unit)
		if x := r.formula(e.Value, &of); x != nil {
			r.p.Rounds.Next = append(r.p.Rounds.Next, Follow{name, x})
		}
		_, whole := r.p.StandsFor(e.Value.Text())
		for _, x := range r.p.FormulasBeforeProof() {
			if x.ListsReadings(name) && !whole {
				e.Key.Wrong(gauge.Say("entry.rounds-readings", shopfile.Quoted("formula", x.String()), gauge.Text("step", name)))
				break
			}
		}
		for _, j := range r.p.Proof {
			for _, limit := range []*formula.Expression{j.Limits.MinOf, j.Limits.MaxOf} {
				if limit != nil && slices.Contains(limit.Names(), name) {
					e.Key.Wrong(gauge.Say("entry.rounds-limits", gauge.Text("judge", j.Name), gauge.Text("name", name)))
				}
			}
		}
	}
	if len(v.Map().Entries()) == 0 {
		v.Wrong(gauge.Say("entry.rounds-empty"))
	}
}
