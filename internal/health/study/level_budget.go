package study

import (
	"math"
)

// Use is how the gauge will be used: the result is the mean of repeats on each
// of several days. Zero stands for the repeats of the study on one day.
type Use struct {
	Repeats int `json:"repeats,omitempty"`
	Days    int `json:"days,omitempty"`
}

func (u Use) with(l *GaugeLevels) (repeats, days float64) {
	repeats, days = float64(u.Repeats), float64(u.Days)
	if u.Repeats == 0 {
		repeats = l.Repeats
	}
	if u.Days == 0 {
		days = 1
	}
	return repeats, days
}

// ErrorBudget is the standard uncertainty of a result of the gauge from what
// the study saw (e-Handbook, 2.6.3.2): levels with their sensitivities, and the
// effective degrees of freedom after Welch and Satterthwaite.
type ErrorBudget struct {
	Repeats  float64      `json:"repeats"`
	Days     float64      `json:"days"`
	Terms    []BudgetTerm `json:"terms"`
	Standard float64      `json:"standard_uncertainty"`
	Freedom  float64      `json:"effective_freedom"`
	K        float64      `json:"coverage_factor"`
	Expanded float64      `json:"expanded_uncertainty"`
}

// BudgetTerm is one standard deviation with the square of its sensitivity,
// which is below 0 where the term was counted too much in the others.
type BudgetTerm struct {
	Source    string  `json:"source"`
	Deviation float64 `json:"standard_deviation"`
	Freedom   float64 `json:"freedom"`
	Squared   float64 `json:"squared_sensitivity"`
}

// Budget adds terms up.
func Budget(terms []BudgetTerm, confidence float64) ErrorBudget {
	var squares []MeanSquare
	var weights []float64
	for _, t := range terms {
		squares = append(squares, MeanSquare{Value: square(t.Deviation), Freedom: t.Freedom})
		weights = append(weights, t.Squared)
	}
	v := combine(squares, weights)
	b := ErrorBudget{Terms: terms, Standard: math.Sqrt(max(0, v.Value)), Freedom: v.Freedom}
	if v.Freedom > 0 {
		b.K = coverage(confidence, v.Freedom)
		b.Expanded = b.K * b.Standard
	}
	return b
}

// budget is that of a mean of repeats on some days. The variance of such a mean
// is s(runs)^2 + s(days)^2/days + s1^2/(days repeats); each component that is
// not 0 is written in the levels it was made of.
func (l *GaugeLevels) budget(used Use, o Options) ErrorBudget {
	repeats, days := used.with(l)
	one := 1 / (days * repeats)
	two, three := 0.0, 0.0
	if !l.ByDay.Negative {
		two = 1 / days
		one -= 1 / (days * l.Repeats)
	}
	if l.ByRun != nil && !l.ByRun.Negative {
		three = 1
		two -= 1 / l.Days
	}
	if math.Abs(one) < 1e-12 { // the repeats of the study: exactly 0
		one = 0
	}
	terms := []BudgetTerm{
		{"repeats (level 1)", l.Level1.Deviation, float64(l.Level1.Freedom), one},
		{"days (level 2)", l.Level2.Deviation, float64(l.Level2.Freedom), two},
	}
	if l.Level3 != nil {
		terms = append(terms, BudgetTerm{"runs (level 3)", l.Level3.Deviation, float64(l.Level3.Freedom), three})
	}
	if b := l.Bias; b != nil {
		terms = append(terms, BudgetTerm{"correction of the gauge's bias", b.Deviation, float64(b.Count - 1), 1 / float64(b.Count)})
	}
	budget := Budget(terms, o.Confidence)
	budget.Repeats, budget.Days = repeats, days
	return budget
}
