package study

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"gauged/internal/uncertainty"
)

// Interval is a two-sided confidence interval.
type Interval struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// root is the interval of a standard deviation, from that of its variance.
func (i *Interval) root() *Interval {
	if i == nil {
		return nil
	}
	return &Interval{Low: math.Sqrt(max(0, i.Low)), High: math.Sqrt(max(0, i.High))}
}

// times is the interval of a multiple.
func (i *Interval) times(factor float64) *Interval {
	if i == nil {
		return nil
	}
	return &Interval{Low: i.Low * factor, High: i.High * factor}
}

// TTest is a two-sided Student t test of a value against 0.
type TTest struct {
	T       float64 `json:"t"`
	Freedom float64 `json:"freedom"`
	P       float64 `json:"p"` // probability of so great a t when there is nothing to find
}

func newTTest(value, standard, freedom float64) TTest {
	t := value / standard
	return TTest{T: t, Freedom: freedom, P: mathext.RegIncBeta(freedom/2, 0.5, freedom/(freedom+t*t))}
}

// aboveF is the probability of a greater F.
func aboveF(f, freedom1, freedom2 float64) float64 {
	return mathext.RegIncBeta(freedom2/2, freedom1/2, freedom2/(freedom2+freedom1*f))
}

// Term is a line of a table of analysis of variance.
type Term struct {
	Source  string  `json:"source"`
	Sum     float64 `json:"sum_of_squares"`
	Freedom float64 `json:"freedom"`
	Mean    float64 `json:"mean_square"`
	F       *FTest  `json:"f_test,omitempty"`
}

// FTest is the F test of a term against another.
type FTest struct {
	F    float64 `json:"f"`
	P    float64 `json:"p"`
	Over string  `json:"over"` // the term whose mean square is the divisor
}

func newTerm(source string, sum, freedom float64) Term {
	t := Term{Source: source, Sum: sum, Freedom: freedom}
	if freedom > 0 {
		t.Mean = sum / freedom
	}
	return t
}

// against tests the term against another. A divisor of 0 gives no test.
func (t *Term) against(other Term) {
	if t.Freedom > 0 && other.Freedom > 0 && other.Mean > 0 {
		f := t.Mean / other.Mean
		t.F = &FTest{F: f, P: aboveF(f, t.Freedom, other.Freedom), Over: other.Source}
	}
}

func (t Term) square() MeanSquare { return MeanSquare{Value: t.Mean, Freedom: t.Freedom} }

// MeanSquare is a mean square with its degrees of freedom.
type MeanSquare struct {
	Value   float64 `json:"value"`
	Freedom float64 `json:"freedom"`
}

// interval is the exact interval of the variance that a mean square estimates
// (e-Handbook, 7.2.3.1).
func (m MeanSquare) interval(confidence float64) *Interval {
	tail := (1 - confidence) / 2
	return &Interval{
		Low:  m.Freedom * m.Value / uncertainty.ChiSquareQuantile(1-tail, m.Freedom),
		High: m.Freedom * m.Value / uncertainty.ChiSquareQuantile(tail, m.Freedom),
	}
}

// combine returns the weighted sum of mean squares and its degrees of freedom
// after Satterthwaite (JCGM 100, eq. G.2b).
func combine(squares []MeanSquare, weights []float64) MeanSquare {
	sum, fourth := 0.0, 0.0
	for i, m := range squares {
		v := weights[i] * m.Value
		sum += v
		fourth += v * v / m.Freedom
	}
	if fourth == 0 {
		return MeanSquare{Value: sum}
	}
	return MeanSquare{Value: sum, Freedom: sum * sum / fourth}
}

// coverage is the factor by which a standard uncertainty becomes the half-width
// of a two-sided interval: Student's t.
func coverage(confidence, freedom float64) float64 {
	return uncertainty.Budget{Freedom: freedom}.Coverage(confidence)
}
