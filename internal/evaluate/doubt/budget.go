package doubt

import (
	"math"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// Budget is the uncertainty of one result: a table of contributions and their
// sum, after JCGM 100 (GUM). What is stored is rounded: uncertainties to three
// digits, shares and probabilities to ten-thousandths.
type Budget struct {
	Of            string                  `json:"of"` // the result, as its sum is called
	Unit          gauge.Unit              `json:"unit"`
	Contributions []Contribution          `json:"contributions"`
	Standard      gauge.Length            `json:"standard"`          // combined standard uncertainty, in Unit
	Freedom       int                     `json:"freedom,omitempty"` // effective degrees of freedom, cut off; 0: more than any table has
	Coverage      uncertainty.Probability `json:"coverage"`          // level of confidence of Expanded
	K             gauge.Length            `json:"k"`                 // coverage factor, in gauge.One
	Expanded      gauge.Length            `json:"expanded"`          // in Unit
	Simulated     *Simulation             `json:"simulated,omitempty"`
	Around        *gauge.Length           `json:"around,omitempty"`   // the middle of what is stated of parts to one side, where the result itself is not in it
	Unstated      []string                `json:"unstated,omitempty"` // measurements whose gauge's error is not stated, so that it is too small
}

// Contribution is what one source of doubt adds to a budget.
type Contribution struct {
	Source       string                  `json:"source"` // such as "depth: resolution"
	Distribution string                  `json:"distribution"`
	Standard     gauge.Length            `json:"standard"` // standard uncertainty of the result from this source alone, in the budget's unit
	Freedom      int                     `json:"freedom,omitempty"`
	Share        uncertainty.Probability `json:"share"` // of the variance
}

// Simulation is the second opinion of a Monte Carlo run after JCGM 101.
type Simulation struct {
	Draws    int          `json:"draws"`
	Standard gauge.Length `json:"standard"`
	Low      gauge.Length `json:"low"` // ends of the interval that is covered, as deviations from the result
	High     gauge.Length `json:"high"`
	Counts   bool         `json:"counts"` // it decides, because the budget's interval is wrong
}

// Assessed is a result with its uncertainty, to decide with.
type Assessed struct {
	budget   uncertainty.Budget // in the unit's counts
	sample   *uncertainty.Sample
	draws    *uncertainty.Draws  // in the place of a sample
	bent     *uncertainty.Sample // through the formula, where it is no straight line; it counts
	Unstated []string            // measurements whose gauge's error is missing in it
	at       int                 // where it is written down
}

// Probability that the result lies within limits.
func (a *Assessed) Probability(value gauge.Length, allowed procedure.Limits) uncertainty.Probability {
	low, high := math.Inf(-1), math.Inf(1)
	if allowed.Min != nil {
		low = float64(*allowed.Min - value)
	}
	if allowed.Max != nil {
		high = float64(*allowed.Max - value)
	}
	if a.bent != nil {
		return uncertainty.Rounded(a.bent.Probability(low, high))
	}
	if a.draws != nil {
		return uncertainty.Rounded(a.draws.Probability(a.budget, low, high))
	}
	if a.sample != nil {
		return uncertainty.Rounded(a.sample.Probability(low, high))
	}
	return uncertainty.Rounded(a.budget.Probability(0, low, high))
}

// ThreeDigits rounds to three digits, as an uncertainty is given.
func ThreeDigits(x float64) gauge.Length {
	if x == 0 || math.IsNaN(x) || math.Abs(x) > float64(gauge.MaxLength) {
		return gauge.Length(min(max(x, 0), float64(gauge.MaxLength)))
	}
	step := math.Max(1, math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-2))
	return gauge.Length(math.Round(x/step) * step)
}

// freedom cuts degrees of freedom off to a whole number; 0 stands for so many
// that Student's t is the normal distribution to three digits.
func freedom(nu float64) int {
	if math.IsInf(nu, 1) || nu == 0 || nu > 1000 {
		return 0
	}
	return int(max(nu, 1))
}

// Written is a budget as it is written down.
func (a *Assessed) Written(of string, u gauge.Unit, coverage uncertainty.Probability) Budget {
	cut := a.budget // effective degrees of freedom are cut off to a whole number (JCGM 100, G.4.1)
	cut.Freedom = max(math.Floor(cut.Freedom), 1)
	expanded, k := cut.Expanded(coverage.Float())
	b := Budget{
		Of: of, Unit: u, Unstated: a.Unstated, Standard: ThreeDigits(a.budget.Standard), Freedom: freedom(a.budget.Freedom), Coverage: coverage,
		K: gauge.Length(math.Round(k*100)) * (gauge.One.Size() / 100), Expanded: ThreeDigits(expanded),
	}
	b.Contributions = make([]Contribution, len(a.budget.Contributions))
	for i, c := range a.budget.Contributions {
		b.Contributions[i] = Contribution{
			Source: c.Name, Distribution: string(c.Distribution), Standard: ThreeDigits(c.Contribution),
			Freedom: freedom(c.Freedom), Share: uncertainty.Rounded(c.Share),
		}
	}
	return b
}
