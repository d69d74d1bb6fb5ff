package study

import (
	"math"
)

// The names of the components of a gauge study.
const (
	Repeatability   = "repeatability"
	ByAppraiser     = "appraiser"
	Interaction     = "appraiser x part"
	Reproducibility = "reproducibility"
	RepeatAndRepro  = "repeatability and reproducibility"
	ByPart          = "part"
	Total           = "total"
)

// Component is one share of the variation of the readings.
type Component struct {
	Name      string  `json:"name"`
	Variance  float64 `json:"variance"`
	Negative  bool    `json:"negative"` // the estimate was below 0, and 0 stands in its place
	Estimate  float64 `json:"estimate"` // the variance as it was estimated, below 0 too
	Deviation float64 `json:"standard_deviation"`
	// Interval is that of the standard deviation; nil where no standard method gives one.
	Interval         *Interval `json:"interval,omitempty"`
	Method           string    `json:"interval_method,omitempty"`
	Contribution     float64   `json:"percent_contribution"`    // of the total variance
	StudyVariation   float64   `json:"percent_study_variation"` // standard deviation in the total one
	StudyInterval    *Interval `json:"percent_study_variation_interval,omitempty"`
	Tolerance        *float64  `json:"percent_tolerance,omitempty"` // spread of the component in the tolerance
	ToleranceBetween *Interval `json:"percent_tolerance_interval,omitempty"`
}

// leaf is a component that is estimated by itself. Its weights in the
// independent mean squares are nil when these do not give it.
type leaf struct {
	name     string
	estimate float64
	weights  []float64
}

// estimated returns a leaf that is a weighted sum of independent mean squares.
func estimated(name string, squares []MeanSquare, weights ...float64) leaf {
	return leaf{name: name, estimate: combine(squares, weights).Value, weights: weights}
}

// model is what the analysis of variance gave.
type model struct {
	squares []MeanSquare // independent
	leaves  []leaf
}

// sum adds leaves up; a sum has weights when all of them have.
func (m model) sum(name string, of ...string) (Component, []float64) {
	c := Component{Name: name}
	weights := make([]float64, len(m.squares))
	for _, l := range m.leaves {
		if !contains(of, l.name) {
			continue
		}
		c.Estimate += l.estimate
		c.Variance += max(0, l.estimate)
		for i := range weights {
			if l.weights == nil {
				weights = nil
				break
			}
			weights[i] += l.weights[i]
		}
	}
	c.Negative = len(of) == 1 && c.Estimate < 0
	c.Deviation = math.Sqrt(c.Variance)
	return c, weights
}

func contains(names []string, name string) bool {
	for _, n := range names {
		if n == name {
			return true
		}
	}
	return false
}

// grouping is a component and the leaves that it is the sum of.
type grouping struct {
	name string
	of   []string
}

// components returns the leaves and sums with their shares and intervals. The
// last grouping is the total.
func (m model) components(groups []grouping, o Options) []Component {
	whole := groups[len(groups)-1]
	total, _ := m.sum(whole.name, whole.of...)
	var all []Component
	for _, g := range groups {
		c, weights := m.sum(g.name, g.of...)
		c.Contribution = 100 * c.Variance / total.Variance
		c.StudyVariation = 100 * c.Deviation / total.Deviation
		if weights != nil {
			c.Interval = modifiedLargeSample(m.squares, weights, o.Confidence).root()
			if c.Interval != nil {
				c.Method = methodOf(weights)
			}
		}
		if o.Tolerance > 0 {
			share := 100 * o.Spread / o.Tolerance
			percent := share * c.Deviation
			c.Tolerance, c.ToleranceBetween = &percent, c.Interval.times(share)
		}
		all = append(all, c)
	}
	return all
}

// methodOf names the method of an interval.
func methodOf(weights []float64) string {
	terms := 0
	for _, w := range weights {
		if w != 0 {
			terms++
		}
	}
	if terms == 1 {
		return "chi-square, exact"
	}
	return "modified large sample"
}

// ratio returns the interval of one component's standard deviation in percent
// of the total one's, by generalized pivots.
func (m model) ratio(g, whole grouping, o Options) *Interval {
	for _, l := range m.leaves {
		if l.weights == nil {
			return nil
		}
	}
	return pivots(m.squares, func(expected []float64) float64 {
		part, total := 0.0, 0.0
		for _, l := range m.leaves {
			v := 0.0
			for i, w := range l.weights {
				v += w * expected[i]
			}
			v = max(0, v)
			total += v
			if contains(g.of, l.name) {
				part += v
			}
		}
		return 100 * math.Sqrt(part/total)
	}, o)
}
