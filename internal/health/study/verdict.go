package study

import (
	"fmt"
	"math"
)

// Verdict is what a rule makes of a figure, in words.
type Verdict struct {
	Text   string `json:"text"`
	Rule   string `json:"rule"`
	Origin string `json:"origin"`
}

// The limits of the rule for repeatability and reproducibility.
const (
	acceptable   = 10.0
	unacceptable = 30.0
	enough       = 5 // distinct categories
)

const (
	variationRule   = "repeatability and reproducibility under 10 % of the variation: acceptable; 10 % to 30 %: may be acceptable for the use at hand; over 30 %: not acceptable; 5 distinct categories at least"
	variationOrigin = "MSA reference manual, 4th edition, from memory"
)

// categories fills in the number of distinct categories, 1.41 times part over
// gauge (MSA manual).
func (v *Variation) categories(gauge string) {
	part, _ := v.Component(ByPart)
	g, _ := v.Component(gauge)
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
func (v *Variation) judge(gauge string) {
	c, _ := v.Component(gauge)
	percent, between, of := c.StudyVariation, c.StudyInterval, "the study's variation"
	if c.Tolerance != nil {
		percent, between, of = *c.Tolerance, c.ToleranceBetween, "the tolerance"
	}
	text := fmt.Sprintf("%s: repeatability and reproducibility take %.1f %% of %s", grade(percent), percent, of)
	switch {
	case between == nil:
		text += ", and no interval of this can be given"
	case grade(between.Low) != grade(between.High):
		text += fmt.Sprintf("; but its %.4g %% confidence interval, %.1f %% to %.1f %%, reaches into another grade: more parts and appraisers narrow it", 100*v.Confidence, between.Low, between.High)
	default:
		text += fmt.Sprintf(", between %.1f %% and %.1f %% with %.4g %% confidence", between.Low, between.High, 100*v.Confidence)
	}
	text += "."
	if v.Distinct != nil && math.Floor(*v.Distinct) < enough {
		text += fmt.Sprintf(" The gauge tells %d categories of these parts apart, fewer than %d: it cannot follow the process that made them.", max(1, int(*v.Distinct)), enough)
	}
	v.Verdict = &Verdict{Text: text, Rule: variationRule, Origin: variationOrigin}
}

// How a verdict begins.
const (
	acceptableText   = "Acceptable"
	conditionalText  = "May be acceptable"
	unacceptableText = "Not acceptable"
)

func grade(percent float64) string {
	switch {
	case percent < acceptable:
		return acceptableText
	case percent <= unacceptable:
		return conditionalText
	default:
		return unacceptableText
	}
}
