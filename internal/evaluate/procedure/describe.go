package procedure

import (
	"maps"
	"slices"
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
)

// Formula is how a judged result is computed, or the mark that is wanted, for people.
func (j Judge) Formula() string {
	if j.Is != "" {
		return j.Formulas[0].Case.Step + " is " + j.Is
	}
	var texts []string
	for _, f := range j.Formulas {
		text := f.Expression.String()
		if f.Case != (Case{}) {
			text += " when " + f.Case.String()
		}
		texts = append(texts, text)
	}
	return strings.Join(texts, ", ")
}

// LimitsOf writes the limits of a judged result in words.
func (p *Procedure) LimitsOf(j Judge) string {
	b := j.Limits
	if b.MinOf == nil && b.MaxOf == nil {
		if !b.Limited() {
			return ""
		}
		return p.ShowLimitsIn(b.Limits, j.Unit)
	}
	var ends []string
	for _, end := range []struct {
		words string
		plain *Limits
		of    *formula.Expression
	}{{"at least ", &Limits{Min: b.Min}, b.MinOf}, {"at most ", &Limits{Max: b.Max}, b.MaxOf}} {
		switch {
		case end.of != nil:
			ends = append(ends, end.words+end.of.String())
		case end.plain.Limited():
			ends = append(ends, p.ShowLimitsIn(*end.plain, j.Unit))
		}
	}
	return strings.Join(ends, ", ")
}

// Stated returns the limits of the closing dimension as the file states them: of
// a preload where it speaks of one.
func (p *Place) Stated() Bounds {
	b := p.Allowed
	if p.Word == WordPreload && !b.Negated {
		b.Limits = b.Limits.Negative()
	}
	b.Negated = false
	return b
}

// CodeRow is what a table gives for marks.
type CodeRow struct {
	Marks []string // in the order of CodeSteps
	Part  string   // or several with commas, all right; empty: the marks must not come together
}

// CodeTable returns the rows of a table by marks, sorted.
func (f *Family) CodeTable() []CodeRow {
	rows := make([]CodeRow, 0, len(f.CodeRows))
	for _, key := range slices.Sorted(maps.Keys(f.CodeRows)) {
		rows = append(rows, CodeRow{strings.Split(key, "\x00"), strings.Join(f.CodeRows[key], ", ")})
	}
	return rows
}

// Decimals returns how many decimals of the family's unit show all its lengths.
func (f *Family) Decimals() int {
	decimals := 0
	for _, g := range f.Grades {
		for _, l := range []*gauge.Length{g.Thickness, g.Tolerance, g.Plus, g.Minus, g.Serves.Min, g.Serves.Max} {
			if l != nil {
				decimals = l.Decimals(f.Unit, decimals, 6)
			}
		}
	}
	return decimals
}

// String writes a case for people.
func (c Case) String() string { return c.Step + " is " + c.Mark }

// Cases writes in which cases a step is measured; empty when always.
func (s Step) Cases() string {
	var texts []string
	for _, c := range s.When {
		texts = append(texts, c.String())
	}
	return strings.Join(texts, " and ")
}

// String is the decision rule that the procedure asks for; empty when it leaves
// it to what is known of the gauges.
func (d Decide) String() string {
	switch {
	case !d.Stated:
		return ""
	case d.Simple:
		return "simple acceptance"
	}
	return "guard band " + d.Required.String()
}
