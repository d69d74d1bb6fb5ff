package evaluate

import "strings"

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
		return p.showLimitsIn(b.Limits, j.Unit)
	}
	var ends []string
	for _, end := range []struct {
		words string
		plain *Limits
		of    *Expression
	}{{"at least ", &Limits{Min: b.Min}, b.MinOf}, {"at most ", &Limits{Max: b.Max}, b.MaxOf}} {
		switch {
		case end.of != nil:
			ends = append(ends, end.words+end.of.String())
		case end.plain.Limited():
			ends = append(ends, p.showLimitsIn(*end.plain, j.Unit))
		}
	}
	return strings.Join(ends, ", ")
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
