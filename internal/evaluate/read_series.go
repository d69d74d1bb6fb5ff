package evaluate

import (
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// series reads grades that stand in equal steps. Their part numbers are their
// thicknesses, all with the same number of decimals.
func (r *familyReader) series(v shopfile.Value) {
	m := v.Map()
	from, to, step, tolerance := m.Need("from"), m.Need("to"), m.Need("step"), m.Get("tolerance")
	first, last, by := r.positive(from), r.positive(to), r.positive(step)
	var within *gauge.Length
	if tolerance.Given() {
		t := r.positive(tolerance)
		within = &t
	}
	m.Done()
	u := r.f.Unit
	switch {
	case first <= 0 || last <= 0 || by <= 0: // reported already
		return
	case first > last:
		v.Problemf("from %s is greater than to %s", shortest(first, u), shortest(last, u))
		return
	case (last-first)%by != 0:
		to.Problemf("%s %s is not reached from %s %s in steps of %s %s", shortest(last, u), u, shortest(first, u), u, shortest(by, u), u)
		return
	case (last-first)/by >= maxGrades:
		v.Problemf("the series has %d grades; at most %d are possible", (last-first)/by+1, maxGrades)
		return
	case within != nil && *within > by:
		tolerance.Problemf("the tolerance of %s %s is larger than the step of %s %s: such grades cannot be told apart; look for a slip of the pen",
			shortest(*within, u), u, shortest(by, u), u)
		return
	}
	decimals := max(from.Decimals(), to.Decimals(), step.Decimals(), decimalsOf(first, u), decimalsOf(by, u))
	for thickness := first; thickness <= last; thickness += by {
		r.f.Grades = append(r.f.Grades, Grade{Part: thickness.Text(u, decimals), Thickness: &thickness, Tolerance: within})
	}
}
