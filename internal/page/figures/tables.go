// Package figures writes the results of a gauge study as tables in a language.
package figures

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/health/study"
	"gauged/internal/page/say"
	"gauged/internal/words"
)

// Table is figures of a study as they are shown.
type Table struct {
	Title string
	Head  []string
	Rows  [][]string
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
	return say.Unit(u)
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

// bare is an interval without a unit.
func (t *tabler) bare(i *study.Interval) string {
	if i == nil {
		return "-"
	}
	return t.text("span", t.plain(i.Low), t.plain(i.High))
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
		row := []string{t.source(c.Name), t.in(c.Deviation), t.span(c.Interval), t.percent(&c.Contribution, nil), t.percent(&c.StudyVariation, c.StudyInterval)}
		if c.Negative {
			row[1] += " " + t.text("negative", t.plain(c.Estimate))
		}
		if v.Tolerance > 0 {
			row = append(row, t.percent(c.Tolerance, c.ToleranceBetween))
		}
		parts.Rows = append(parts.Rows, row)
	}
	design := t.figures(v.Confidence, t.figure("parts", fmt.Sprint(v.Parts), "-"), t.figure("persons", fmt.Sprint(v.Appraisers), "-"),
		t.figure("trials", orDash(v.Trials), "-"), t.figure("readings", fmt.Sprint(v.Readings), "-"))
	if v.Distinct != nil {
		design.Rows = append(design.Rows, t.figure("categories", fmt.Sprint(int(*v.Distinct)), t.bare(v.DistinctInterval)))
	}
	if v.Pooled {
		design.Rows = append(design.Rows, t.figure("pooled", t.text("pooled", t.plain(v.PoolAbove)), "-"))
	}
	tables := []Table{parts, design, t.variance(v.Table)}
	if r := v.Ranges; r != nil {
		tables = append(tables, t.ranges(r))
	}
	return tables
}

func (t *tabler) ranges(r *study.Ranges) Table {
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
		table.Rows = append(table.Rows, []string{t.source(one.name), t.in(one.deviation), t.percent(&one.percent, nil)})
	}
	return table
}

func orDash(n int) string {
	if n == 0 {
		return "-"
	}
	return strconv.Itoa(n)
}
