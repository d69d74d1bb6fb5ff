package figures

import (
	"fmt"

	"gauged/internal/health/study"
)

// bias writes the figures of a study of bias.
func (t *tabler) bias(r *study.BiasResult) []Table {
	rows := [][]string{t.figure("readings", fmt.Sprint(r.Readings), "-")}
	if r.Reference != nil {
		rows = append(rows, t.figure("reference", t.longer(*r.Reference, r.ByDeviation.Error), "-"), t.figure("mean", t.longer(*r.Mean, r.ByDeviation.Error), "-"))
	}
	by := r.ByDeviation
	rows = append(rows, t.figure("bias", t.in(r.Bias)+", "+t.p(by.Test.P), t.span(&by.Interval)), t.figure("deviation", t.in(by.Deviation), "-"), t.figure("error", t.in(by.Error), "-"))
	if r.OfTolerance != nil {
		rows = append(rows, t.figure("repeatability-of-tolerance", t.percent(r.OfTolerance, nil), "-"), t.figure("bias-of-tolerance", t.percent(r.BiasOfTolerance, nil), "-"))
	}
	return []Table{t.figures(r.Confidence, rows...)}
}

// linearity writes the figures of a study of linearity.
func (t *tabler) linearity(r *study.LinearityResult) []Table {
	rows := [][]string{
		t.figure("readings", fmt.Sprint(r.Readings), "-"),
		t.figure("intercept", t.in(r.Line.Intercept)+", "+t.p(r.InterceptTest.P), "-"),
		t.figure("slope", t.plain(r.Line.Slope)+", "+t.p(r.SlopeTest.P), "-"),
		t.figure("change", t.in(r.Change), "-"),
	}
	if r.OfTolerance != nil {
		rows = append(rows, t.figure("change-of-tolerance", t.percent(r.OfTolerance, nil), "-"))
	}
	if r.Misfit != nil {
		rows = append(rows, t.figure("misfit", t.p(r.Misfit.P), "-"))
	}
	points := Table{t.text("references"), t.head("reference", "count", "mean-error", "p", "line", "band"), nil}
	for _, p := range r.Points {
		test := "-"
		if p.P != nil {
			test = t.Number(study.Probability(*p.P))
		}
		points.Rows = append(points.Rows, []string{t.in(p.Reference), fmt.Sprint(p.Count), t.in(p.Error), test, t.in(p.Line), t.span(&p.Band)})
	}
	return []Table{t.figures(r.Confidence, rows...), points}
}

// stability writes the figures of a study of stability.
func (t *tabler) stability(r *study.StabilityResult) (tables []Table) {
	for i := range r.Series {
		tables = append(tables, t.stability(&r.Series[i])...)
	}
	if len(tables) > 0 {
		return tables
	}
	tables = []Table{t.figures(
		r.Confidence,
		t.figure("readings", fmt.Sprint(r.Readings), "-"),
		t.figure("mean", t.longer(r.Mean, r.Deviation), "-"),
		t.figure("deviation", t.in(r.Deviation), "-"),
		t.figure("limits", t.text("span", t.longer(r.Lower, r.Deviation), t.longer(r.Upper, r.Deviation)), "-"),
		t.figure("range-limit", t.in(r.UpperRange), "-"),
		t.figure("trend", t.in(r.Trend)+", "+t.p(r.TrendTest.P), t.span(&r.TrendInterval)),
	)}
	if r.Part != "" {
		tables[0].Title += ": " + r.Part
	}
	for _, one := range []struct {
		title  string
		points []study.Point
	}{{"outside", r.Outside}, {"outside-range", r.RangesOut}} {
		if len(one.points) == 0 {
			continue
		}
		out := Table{t.text(one.title), t.head("number", "time", "value"), nil}
		for _, p := range one.points {
			out.Rows = append(out.Rows, []string{fmt.Sprint(p.Number), p.Time, t.longer(p.Value, r.Deviation)})
		}
		tables = append(tables, out)
	}
	return tables
}

// capability writes the indices of one gauge.
func (t *tabler) capability(r *study.CapabilityResult) []Table {
	return []Table{t.figures(
		r.Confidence,
		t.figure("readings", fmt.Sprint(r.Readings), "-"),
		t.figure("reference", t.longer(*r.Reference, r.Deviation), "-"),
		t.figure("mean", t.longer(*r.Mean, r.Deviation), "-"),
		t.figure("bias", t.in(r.Bias)+", "+t.p(r.BiasTest.Test.P), t.span(&r.BiasTest.Interval)),
		t.figure("deviation", t.in(r.Deviation), t.span(r.DeviationInterval)),
		[]string{"Cg", t.plain(r.Cg), t.bare(r.CgInterval)},
		[]string{"Cgk", t.plain(r.Cgk), t.bare(r.CgkInterval)},
		t.figure("least", t.plain(r.Least), "-"),
	)}
}

// levels writes what repeats, days and runs add, for each gauge.
func (t *tabler) levels(l *study.Levels) (tables []Table) {
	for _, g := range l.Gauges {
		table := Table{t.text("levels") + " " + g.Gauge, t.head("source", "deviation", "freedom", "between"), nil}
		row := func(name string, v study.Level) {
			table.Rows = append(table.Rows, []string{t.source(name), t.in(v.Deviation), fmt.Sprint(v.Freedom), t.span(v.Interval)})
		}
		row("repeats", g.Level1)
		row("means of days", g.Level2)
		if g.Level3 != nil {
			row("means of runs", *g.Level3)
		}
		table.Rows = append(table.Rows, []string{t.text("source.standard"), t.in(g.Budget.Standard), t.plain(g.Budget.Freedom), "-"}, []string{t.text("source.expanded"), t.in(g.Budget.Expanded), "-", "-"})
		tables = append(tables, table)
	}
	return tables
}

// oneWay writes how groups differ.
func (t *tabler) oneWay(r *study.OneWayResult) []Table {
	groups := Table{t.text("groups"), t.head("group", "count", "mean", "deviation"), nil}
	for _, g := range r.Groups {
		deviation := "-"
		if g.Deviation != nil {
			deviation = t.in(*g.Deviation)
		}
		groups.Rows = append(groups.Rows, []string{g.Name, fmt.Sprint(g.Count), t.longer(g.Mean, r.Residual), deviation})
	}
	return []Table{
		t.figures(r.Confidence, t.figure("readings", fmt.Sprint(r.Readings), "-"), t.figure("mean", t.longer(r.Mean, r.Residual), "-"),
			t.figure("within", t.in(r.Residual), t.span(r.ResidualInterval)), t.figure("groups", t.in(r.Between), t.span(r.BetweenInterval))),
		groups, t.variance(r.Table),
	}
}
