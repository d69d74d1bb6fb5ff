package study

import (
	"math"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// Ranges is a crossed study by averages and ranges (MSA manual). Its K factors
// are 1/d2* to four digits, as the manual's form prints them.
type Ranges struct {
	MeanRange       float64   `json:"mean_range"`
	AppraiserRange  float64   `json:"range_of_appraiser_means"`
	PartRange       float64   `json:"range_of_part_means"`
	K1              float64   `json:"k1"`
	K2              float64   `json:"k2,omitempty"`
	K3              float64   `json:"k3"`
	UpperRange      float64   `json:"upper_range_limit"` // D4 times the mean range
	Outside         int       `json:"ranges_above_limit"`
	Repeatability   float64   `json:"repeatability"` // standard deviations from here on
	Reproducibility float64   `json:"reproducibility"`
	Negative        bool      `json:"reproducibility_negative"`
	Estimate        float64   `json:"reproducibility_variance"` // as it was estimated, below 0 too
	Both            float64   `json:"repeatability_and_reproducibility"`
	Part            float64   `json:"part"`
	Total           float64   `json:"total"`
	Percent         Percents  `json:"percent_study_variation"`
	OfTolerance     *Percents `json:"percent_tolerance,omitempty"`
	Distinct        float64   `json:"distinct_categories"`
}

// Percents are the standard deviations in percent of the total one, or their
// spreads in percent of the tolerance.
type Percents struct {
	Repeatability   float64 `json:"repeatability"`
	Reproducibility float64 `json:"reproducibility"`
	Both            float64 `json:"repeatability_and_reproducibility"`
	Part            float64 `json:"part"`
}

// averageAndRange needs equal cells; otherwise it says why there is none.
func averageAndRange(c *cells, o Options) (*Ranges, gauge.Message) {
	p, a, n := len(c.parts), len(c.appraisers), c.trials
	switch {
	case n == 0:
		return nil, gauge.Say("noranges.unequal")
	case n > largestRange || p > largestRange || a > largestRange:
		return nil, gauge.Say("noranges.many", gauge.Count("most", largestRange))
	case a < 2:
		return nil, gauge.Say("noranges.one_appraiser")
	}
	byPart, byAppraiser := make([][]float64, p), make([][]float64, a)
	var ranges []float64
	for i, row := range c.x {
		for j, cell := range row {
			byPart[i] = append(byPart[i], cell...)
			byAppraiser[j] = append(byAppraiser[j], cell...)
			ranges = append(ranges, spread(cell))
		}
	}
	r := &Ranges{AppraiserRange: spread(means(byAppraiser)), PartRange: spread(means(byPart))}
	r.MeanRange, _ = uncertainty.MeanStdDev(ranges)
	r.K1, r.K2, r.K3 = k1(n), k1Of(a, 1), k1Of(p, 1)
	r.UpperRange = upperRangeFactor(n) * r.MeanRange
	for _, x := range ranges {
		if x > r.UpperRange {
			r.Outside++
		}
	}
	r.Repeatability = r.MeanRange * r.K1
	v := square(r.AppraiserRange*r.K2) - square(r.Repeatability)/float64(p*n)
	r.Negative, r.Estimate = v < 0, v
	r.Reproducibility = math.Sqrt(max(0, v))
	r.Both = math.Hypot(r.Repeatability, r.Reproducibility)
	r.Part = r.PartRange * r.K3
	r.Total = math.Hypot(r.Both, r.Part)
	r.Percent = r.percents(100 / r.Total)
	if o.Tolerance > 0 {
		of := r.percents(100 * o.Spread / o.Tolerance)
		r.OfTolerance = &of
	}
	r.Distinct = 1.41 * r.Part / r.Both
	return r, gauge.Message{}
}

func (r *Ranges) percents(factor float64) Percents {
	return Percents{
		Repeatability: factor * r.Repeatability, Reproducibility: factor * r.Reproducibility,
		Both: factor * r.Both, Part: factor * r.Part,
	}
}

func spread(x []float64) float64 { return slices.Max(x) - slices.Min(x) }

// k1 is the factor for ranges of m repeats in many cells, 1/d2; k1Of is that
// for the mean of g ranges of m values, 1/d2*.
func k1(m int) float64 { return fourDigits(1 / rangeOf(m).mean) }

func k1Of(m, g int) float64 { return fourDigits(1 / rangeOf(m).d2Star(g)) }

func fourDigits(x float64) float64 { return math.Round(x*1e4) / 1e4 }

// upperRangeFactor is D4 = 1 + 3 d3/d2. For 2 and 3 repeats it is what the form
// of the MSA manual prints, 3.27 and 2.58 (exactly 3.267 and 2.574).
func upperRangeFactor(m int) float64 {
	switch m {
	case 2:
		return 3.27
	case 3:
		return 2.58
	}
	d := rangeOf(m)
	return 1 + 3*d.deviation/d.mean
}
