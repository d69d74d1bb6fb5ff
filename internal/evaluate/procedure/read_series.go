package procedure

import (
	"slices"
	"strconv"
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// series reads grades that stand in equal steps. Their part numbers are their
// thicknesses, all with the same number of decimals.
func (r *familyReader) series(v shopfile.Value) {
	m := v.Map()
	from, to, step, tolerance := m.Need("from"), m.Need("to"), m.Need("step"), m.Get("tolerance")
	m.Get("range").Wrong(gauge.Say("entry.series-range"))
	first, last, by := r.positive(from), r.positive(to), r.positive(step)
	var grade Grade
	r.tolerance(&grade, m)
	within := grade.widest()
	marks := m.Get("marks")
	defer m.Done()
	u := r.f.Unit
	switch {
	case first <= 0 || last <= 0 || by <= 0: // reported already
		return
	case first > last:
		v.Wrong(gauge.Say("entry.series-crossed", gauge.Shown("from", Shortest(first, u), gauge.UnitUnknown), gauge.Shown("to", Shortest(last, u), gauge.UnitUnknown)))
		return
	case (last-first)%by != 0:
		to.Wrong(gauge.Say("entry.series-not-reached", shortest("last", last, u), shortest("first", first, u), shortest("step", by, u)))
		return
	case (last-first)/by >= maxGrades:
		v.Wrong(gauge.Say("entry.series-long", gauge.Count("grades", (last-first)/by+1), gauge.Count("most", maxGrades)))
		return
	case within != nil && *within > by:
		tolerance.Wrong(gauge.Say("entry.series-tolerance", shortest("tolerance", *within, u), shortest("step", by, u)))
		return
	}
	decimals := max(from.Decimals(), to.Decimals(), step.Decimals(), decimalsOf(first, u), decimalsOf(by, u))
	for thickness := first; thickness <= last; thickness += by {
		r.f.Grades = append(r.f.Grades, Grade{Part: thickness.Text(u, decimals), Thickness: &thickness, Tolerance: grade.Tolerance, Plus: grade.Plus, Minus: grade.Minus})
	}
	r.seriesMarks(marks)
}

// seriesMarks reads the marks of a series: a list in the order of the thickness,
// or the first letter or number, from which they are counted.
func (r *familyReader) seriesMarks(v shopfile.Value) {
	if !v.Given() {
		return
	}
	if v.IsMap() {
		r.countedMarks(v)
		return
	}
	list := v.List()
	if len(list) != len(r.f.Grades) {
		v.Wrong(gauge.Say("entry.series-marks", gauge.Count("grades", len(r.f.Grades)), gauge.Count("marks", len(list))))
		return
	}
	for i, mark := range list {
		r.f.Grades[i].Mark = unique(r.marks, mark, "entry.grade.marking")
	}
}

// countedMarks counts letters or numbers on from the first; letters that are left
// out, as I and O often are, stand under skip. The last one, where it is given,
// must be that of the thickest grade.
func (r *familyReader) countedMarks(v shopfile.Value) {
	m := v.Map()
	from, to, skip := m.Need("from"), m.Get("to"), m.Get("skip").Texts()
	m.Done()
	mark := from.Text()
	for i := range r.f.Grades {
		for slices.Contains(skip, mark) {
			mark, _ = nextMark(mark)
		}
		r.f.Grades[i].Mark = mark
		next, ok := nextMark(mark)
		if !ok && i+1 < len(r.f.Grades) {
			from.Wrong(gauge.Say("entry.series-marks-end", gauge.Count("counted", i+1), from.As("from"), gauge.Count("grades", len(r.f.Grades))))
			return
		}
		mark = next
	}
	if last := r.f.Grades[len(r.f.Grades)-1].Mark; to.Given() && to.Text() != last {
		to.Wrong(gauge.Say("entry.series-marks-last", from.As("from"), shopfile.Quoted("last", last), to.As("to")))
	}
}

// nextMark is the letter or the number that follows.
func nextMark(mark string) (string, bool) {
	if n, err := strconv.Atoi(mark); err == nil {
		return strconv.Itoa(n + 1), true
	}
	if len(mark) == 1 && formula.IsName(mark) && !strings.Contains("zZ_", mark) {
		return string(mark[0] + 1), true
	}
	return "", false
}
