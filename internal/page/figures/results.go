package figures

import (
	"fmt"
	"math"

	"gauged/internal/health/study"
	"gauged/internal/uncertainty"
)

// bias writes the figures of a study of bias.
func (t *tabler) bias(r *study.BiasResult) []Table {
	rows := [][]string{t.figure("readings", fmt.Sprint(r.Readings), "-")}
	if r.Reference != nil {
		rows = append(rows, t.figure("reference", t.in(*r.Reference), "-"), t.figure("mean", t.rounded(*r.Mean, r.ByDeviation.Error), "-"))
	}
	by := r.ByDeviation
	bias, between := t.known(r.Bias, &by.Interval)
	rows = append(rows, t.figure("bias", bias+", "+t.p(by.Test.P), between), t.figure("deviation", t.scattered(by.Deviation, r.Readings), "-"), t.figure("error", t.scattered(by.Error, r.Readings), "-"))
	if r.OfTolerance != nil {
		rows = append(rows, t.figure("repeatability-of-tolerance", t.percent(r.OfTolerance, nil), "-"), t.figure("bias-of-tolerance", t.percent(r.BiasOfTolerance, nil), "-"))
	}
	return []Table{t.figures(r.Confidence, rows...)}
}

// linearity writes the figures of a study of linearity.
func (t *tabler) linearity(r *study.LinearityResult) []Table {
	rows := [][]string{
		t.figure("readings", fmt.Sprint(r.Readings), "-"),
		t.figure("intercept", t.rounded(r.Line.Intercept, r.Line.InterceptErr)+", "+t.p(r.InterceptTest.P), "-"),
		t.figure("slope", t.slope(r.Line)+", "+t.p(r.SlopeTest.P), "-"),
		t.figure("change", t.rounded(r.Change, r.Line.SlopeErr*math.Abs(r.Change/r.Line.Slope)), "-"),
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
		line, band := t.known(p.Line, &p.Band)
		points.Rows = append(points.Rows, []string{t.in(p.Reference), fmt.Sprint(p.Count), t.rounded(p.Error, r.Line.Residual/math.Sqrt(float64(p.Count))), test, line, band})
	}
	return []Table{t.figures(r.Confidence, rows...), points}
}

// slope writes how much the error changes for each unit of the reference value.
func (t *tabler) slope(l study.Line) string {
	if !(l.SlopeErr > 0) {
		return t.plain(l.Slope)
	}
	written, _ := uncertainty.TwoDigits(l.Slope, l.SlopeErr)
	return t.Number(written)
}

// stability writes the figures of a study of stability.
func (t *tabler) stability(r *study.StabilityResult) (tables []Table) {
	for i := range r.Series {
		tables = append(tables, t.stability(&r.Series[i])...)
	}
	if len(tables) > 0 {
		return tables
	}
	trend, between := t.known(r.Trend, &r.TrendInterval)
	tables = []Table{t.figures(
		r.Confidence,
		t.figure("readings", fmt.Sprint(r.Readings), "-"),
		t.figure("mean", t.longer(r.Mean, r.Deviation), "-"),
		t.figure("deviation", t.scattered(r.Deviation, r.Readings), "-"),
		t.figure("limits", t.text("span", t.longer(r.Lower, r.Deviation), t.longer(r.Upper, r.Deviation)), "-"),
		t.figure("range-limit", t.scattered(r.UpperRange, r.Readings), "-"),
		t.figure("trend", trend+", "+t.p(r.TrendTest.P), between),
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
	bias, biasBetween := t.known(r.Bias, &r.BiasTest.Interval)
	deviation, between := t.known(r.Deviation, r.DeviationInterval)
	cg, cgBetween := t.bare(r.Cg, r.CgInterval)
	cgk, cgkBetween := t.bare(r.Cgk, r.CgkInterval)
	return []Table{t.figures(
		r.Confidence,
		t.figure("readings", fmt.Sprint(r.Readings), "-"),
		t.figure("reference", t.in(*r.Reference), "-"),
		t.figure("mean", t.rounded(*r.Mean, r.BiasTest.Error), "-"),
		t.figure("bias", bias+", "+t.p(r.BiasTest.Test.P), biasBetween),
		t.figure("deviation", deviation, between),
		[]string{"Cg", cg, cgBetween},
		[]string{"Cgk", cgk, cgkBetween},
		t.figure("least", t.plain(r.Least), "-"),
	)}
}

// levels writes what repeats, days and runs add, for each gauge.
func (t *tabler) levels(l *study.Levels) (tables []Table) {
	for _, g := range l.Gauges {
		table := Table{t.text("levels") + " " + g.Gauge, t.head("source", "deviation", "freedom", "between"), nil}
		row := func(name string, v study.Level) {
			deviation, between := t.known(v.Deviation, v.Interval)
			table.Rows = append(table.Rows, []string{t.source(name), deviation, fmt.Sprint(v.Freedom), between})
		}
		row("repeats", g.Level1)
		row("means of days", g.Level2)
		if g.Level3 != nil {
			row("means of runs", *g.Level3)
		}
		table.Rows = append(table.Rows, []string{t.text("source.standard"), t.scattered(g.Budget.Standard, int(g.Budget.Freedom)+1), t.plain(g.Budget.Freedom), "-"}, []string{t.text("source.expanded"), t.scattered(g.Budget.Expanded, int(g.Budget.Freedom)+1), "-", "-"})
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
			deviation = t.scattered(*g.Deviation, g.Count)
		}
		groups.Rows = append(groups.Rows, []string{g.Name, fmt.Sprint(g.Count), t.longer(g.Mean, r.Residual), deviation})
	}
	within, withinBetween := t.known(r.Residual, r.ResidualInterval)
	of, between := t.known(r.Between, r.BetweenInterval)
	return []Table{
		t.figures(r.Confidence, t.figure("readings", fmt.Sprint(r.Readings), "-"), t.figure("mean", t.longer(r.Mean, r.Residual), "-"),
			t.figure("within", within, withinBetween), t.figure("groups", of, between)),
		groups, t.variance(r.Table),
	}
}
