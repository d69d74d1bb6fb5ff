package study

import (
	"math"

	"gauged/internal/gauge"
)

// Verdict is what a rule makes of a figure, in words.
type Verdict struct {
	Text   gauge.Message `json:"text"`
	Rule   gauge.Message `json:"rule"`
	Origin gauge.Message `json:"origin"` // where the rule is from
}

// The limits of the rule for repeatability and reproducibility.
const (
	acceptable   = 10.0
	unacceptable = 30.0
	enough       = 5 // distinct categories
)

// categories fills in the number of distinct categories, 1.41 times part over
// gauge (MSA manual).
func (v *Variation) categories(ofGauge string) {
	part, _ := v.Component(ByPart)
	g, _ := v.Component(ofGauge)
	if g.Deviation == 0 {
		return
	}
	n := 1.41 * part.Deviation / g.Deviation
	v.Distinct = &n
	if i := g.StudyInterval; i != nil && i.Low > 0 {
		v.DistinctInterval = &Interval{Low: fromShare(i.High), High: fromShare(i.Low)}
	}
}

// fromShare is the number of categories of a gauge that has the share of the
// total standard deviation, in percent.
func fromShare(percent float64) float64 {
	f := percent / 100
	return 1.41 * math.Sqrt(max(0, 1-f*f)) / f
}

// judge fills in the verdict: on the tolerance where there is one, else on the
// variation of the study.
func (v *Variation) judge(ofGauge string) {
	c, _ := v.Component(ofGauge)
	percent, between, of := c.StudyVariation, c.StudyInterval, "judged.of_study"
	if c.Tolerance != nil {
		percent, between, of = *c.Tolerance, c.ToleranceBetween, "judged.of_tolerance"
	}
	args := []gauge.Arg{
		gauge.WordOf("grade", "study.word", grade(percent)), formatted("percent", percent, 'f', 1), gauge.Word("of", of),
		gauge.Nested("between", v.between(between)),
	}
	if v.Distinct != nil && math.Floor(*v.Distinct) < enough {
		args = append(args, gauge.Nested("categories", gauge.Say("judged.categories", gauge.Count("n", max(1, int(*v.Distinct))), gauge.Count("enough", enough))))
	}
	v.Verdict = &Verdict{Text: gauge.Say("judged.variation", args...), Rule: gauge.Say("ruled.variation"), Origin: gauge.Say("ruled.origin-msa")}
}

// between says how well a share is known.
func (v *Variation) between(i *Interval) gauge.Message {
	if i == nil {
		return gauge.Say("judged.no_interval")
	}
	low, high := formatted("low", i.Low, 'f', 1), formatted("high", i.High, 'f', 1)
	if grade(i.Low) != grade(i.High) {
		return gauge.Say("judged.other_grade", trust(v.Confidence), low, high)
	}
	return gauge.Say("judged.interval", low, high, trust(v.Confidence))
}

// grade is the word of a share in percent.
func grade(percent float64) Word {
	switch {
	case percent < acceptable:
		return Acceptable
	case percent <= unacceptable:
		return Conditional
	default:
		return NotAcceptable
	}
}
