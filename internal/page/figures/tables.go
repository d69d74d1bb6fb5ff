// Package figures writes the results of a gauge study as tables in a language.
package figures

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/health/study"
	"gauged/internal/uncertainty"
	"gauged/internal/words"
)

// Table is figures of a study as they are shown.
type Table struct {
	Title string
	Head  []string
	Rows  [][]string
}

// Three writes a figure of which no uncertainty is known with three digits.
func Three(w words.Words, x float64) string {
	if x == 0 {
		return "0"
	}
	written, _ := uncertainty.TwoDigits(x, math.Abs(x)/10)
	return w.Number(written)
}

// tabler writes the figures of a study in a language.
type tabler struct {
	words.Words
	unit string
	err  error // the first text that is missing
}

// Tables are the figures of a study.
func Tables(s *study.Study, u gauge.Unit, w words.Words) (tables []Table, err error) {
	t := &tabler{Words: w, unit: Unit(u)}
	switch {
	case s.Variation != nil:
		tables = t.variation(s.Variation)
	case s.Levels != nil:
		tables = t.levels(s.Levels)
	case s.OneWay != nil:
		tables = t.oneWay(s.OneWay)
	case s.Bias != nil:
		tables = t.bias(s.Bias)
	case s.Linearity != nil:
		tables = t.linearity(s.Linearity)
	case s.Stability != nil:
		tables = t.stability(s.Stability)
	default:
		tables = t.capability(s.Capability)
	}
	return tables, t.err
}

// Unit is the unit on the axes of a study; empty where there is none.
func Unit(u gauge.Unit) string {
	if !u.Known() {
		return ""
	}
	return words.Unit(u)
}

// text is a text of the catalogue.
func (t *tabler) text(key string, args ...any) string {
	text, err := t.Say("study."+key, args...)
	if err != nil && t.err == nil {
		t.err = err
	}
	return text
}

// head are the texts of a row of headings.
func (t *tabler) head(keys ...string) (head []string) {
	for _, key := range keys {
		head = append(head, t.text("head."+key))
	}
	return head
}

// figures is a table of single figures with their intervals.
func (t *tabler) figures(confidence float64, rows ...[]string) Table {
	return Table{t.text("figures"), []string{t.text("head.figure"), t.text("head.value"), t.text("head.interval", t.plain(100*confidence))}, rows}
}

func (t *tabler) figure(key, value, between string) []string {
	return []string{t.text("figure." + key), value, between}
}

// plain is a figure without a unit.
func (t *tabler) plain(x float64) string { return t.Number(study.Number(x)) }

// in is a figure in the unit of the study.
func (t *tabler) in(x float64) string { return strings.TrimSpace(t.plain(x) + " " + t.unit) }

// known is a figure in the unit of the study with its interval, both with the digits that it has:
// an interval of 95 % is about four standard uncertainties wide.
func (t *tabler) known(x float64, i *study.Interval) (value, between string) {
	if i == nil || !(i.High > i.Low) {
		return t.in(x), t.span(i)
	}
	u := (i.High - i.Low) / 4
	return t.rounded(x, u), t.text("span", strings.TrimSuffix(t.rounded(i.Low, u), " "+t.unit), t.rounded(i.High, u))
}

// rounded is a figure of a standard uncertainty in the unit of the study.
func (t *tabler) rounded(x, u float64) string {
	if !(u > 0) {
		return t.in(x)
	}
	written, _ := uncertainty.TwoDigits(x, u)
	return strings.TrimSpace(t.Number(written) + " " + t.unit)
}

// bare is known without a unit.
func (t *tabler) bare(x float64, i *study.Interval) (value, between string) {
	unit := t.unit
	t.unit = ""
	defer func() { t.unit = unit }()
	return t.known(x, i)
}

// scattered is a standard deviation of n readings: it is known to one part in the root of
// 2(n-1), about (JCGM 100, E.4.3).
func (t *tabler) scattered(x float64, n int) string {
	return t.rounded(x, x/math.Sqrt(2*float64(max(n-1, 1))))
}

// whole is an interval of a number of things.
func (t *tabler) whole(i *study.Interval) string {
	if i == nil {
		return "-"
	}
	return t.text("span", int(i.Low), int(i.High))
}

// squaredUnit is a variance, in the square of the unit.
func (t *tabler) squaredUnit(x float64) string {
	if t.unit == "" {
		return t.plain(x)
	}
	return t.plain(x) + " " + t.unit + "²"
}

// squared is a heading with the square of the unit, in which sums of squares are.
func (t *tabler) squared(heading string) string {
	if t.unit == "" {
		return heading
	}
	return heading + " (" + t.unit + "²)"
}

// longer is a value with as many decimals as three digits of its scatter have.
func (t *tabler) longer(x, scatter float64) string {
	if scatter <= 0 {
		return t.in(x)
	}
	decimals := min(12, max(0, 2-int(math.Floor(math.Log10(scatter)))))
	return strings.TrimSpace(t.Number(strconv.FormatFloat(x, 'f', decimals, 64)) + " " + t.unit)
}

// span is an interval in the unit of the study; a dash stands for none.
func (t *tabler) span(i *study.Interval) string {
	if i == nil {
		return "-"
	}
	return t.text("span", t.plain(i.Low), t.in(i.High))
}

// percent is a share, with its interval where there is one.
func (t *tabler) percent(p *float64, i *study.Interval) string {
	if p == nil {
		return "-"
	}
	text := t.Number(strconv.FormatFloat(*p, 'f', 1, 64)) + " %"
	if i != nil {
		text += " (" + t.text("span", t.Number(strconv.FormatFloat(i.Low, 'f', 1, 64)), t.Number(strconv.FormatFloat(i.High, 'f', 1, 64))) + ")"
	}
	return text
}

// p is the probability of a test.
func (t *tabler) p(p float64) string { return "P " + t.Number(study.Probability(p)) }

// source is the name of a component or a source of an analysis of variance.
func (t *tabler) source(name string) string {
	if key := "study.source." + words.Key(name); t.Has(key) {
		return t.text(strings.TrimPrefix(key, "study."))
	}
	return name
}

func (t *tabler) variance(terms []study.Term) Table {
	table := Table{t.text("variance"), t.head("source", "squares", "freedom", "mean-square", "f", "p"), nil}
	table.Head[1], table.Head[3] = t.squared(table.Head[1]), t.squared(table.Head[3])
	for _, one := range terms {
		row := []string{t.source(one.Source), t.plain(one.Sum), t.plain(one.Freedom), t.plain(one.Mean), "-", "-"}
		if one.Source == study.Total {
			row[3] = "-"
		}
		if one.F != nil {
			row[4], row[5] = t.plain(one.F.F), t.Number(study.Probability(one.F.P))
		}
		table.Rows = append(table.Rows, row)
	}
	return table
}

func (t *tabler) variation(v *study.Variation) []Table {
	parts := Table{t.text("components", t.plain(100*v.Confidence)), t.head("source", "deviation", "between", "contribution", "of-study"), nil}
	if v.Tolerance > 0 {
		parts.Head = append(parts.Head, t.text("head.of-tolerance"))
	}
	for _, c := range v.Components {
		deviation, between := t.known(c.Deviation, c.Interval)
		row := []string{t.source(c.Name), deviation, between, t.percent(&c.Contribution, nil), t.percent(&c.StudyVariation, c.StudyInterval)}
		if c.Negative {
			row[1] += " " + t.text("negative", t.squaredUnit(c.Estimate))
		}
		if v.Tolerance > 0 {
			row = append(row, t.percent(c.Tolerance, c.ToleranceBetween))
		}
		parts.Rows = append(parts.Rows, row)
	}
	design := t.figures(v.Confidence, t.figure("parts", fmt.Sprint(v.Parts), "-"), t.figure("persons", fmt.Sprint(v.Appraisers), "-"),
		t.figure("trials", orDash(v.Trials), "-"), t.figure("readings", fmt.Sprint(v.Readings), "-"))
	if v.Distinct != nil {
		design.Rows = append(design.Rows, t.figure("categories", fmt.Sprint(int(*v.Distinct)), t.whole(v.DistinctInterval)))
	}
	if v.Pooled {
		design.Rows = append(design.Rows, t.figure("pooled", t.text("pooled", t.plain(v.PoolAbove)), "-"))
	}
	tables := []Table{parts, design, t.variance(v.Table)}
	if r := v.Ranges; r != nil {
		tables = append(tables, t.ranges(r, v.Readings))
	}
	return tables
}

func (t *tabler) ranges(r *study.Ranges, readings int) Table {
	table := Table{t.text("ranges"), t.head("source", "deviation", "of-study"), nil}
	for _, one := range []struct {
		name               string
		deviation, percent float64
	}{
		{study.RepeatAndRepro, r.Both, r.Percent.Both},
		{study.Repeatability, r.Repeatability, r.Percent.Repeatability},
		{study.Reproducibility, r.Reproducibility, r.Percent.Reproducibility},
		{study.ByPart, r.Part, r.Percent.Part},
	} {
		table.Rows = append(table.Rows, []string{t.source(one.name), t.scattered(one.deviation, readings), t.percent(&one.percent, nil)})
	}
	return table
}

func orDash(n int) string {
	if n == 0 {
		return "-"
	}
	return strconv.Itoa(n)
}
