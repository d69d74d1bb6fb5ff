package study

import (
	"math"

	"gauged/internal/uncertainty"
)

// The intervals of sums and differences of variances by modified large samples:
// sums after Graybill and Wang, "Confidence intervals on nonnegative linear
// combinations of variances" (1980); differences after Ting, Burdick, Graybill,
// Jeyaratnam and Lu, "Confidence intervals on linear combinations of variance
// components that are unrestricted in sign" (1990); both as collected by
// Burdick, Borror and Montgomery, "Design and Analysis of Gauge R&R Studies"
// (2005). The formulas are from memory; the tests hold how often they cover.

// part is one weighted mean square of a combination.
type part struct {
	size, freedom float64 // size: the absolute weighted mean square
	positive      bool
}

// modifiedLargeSample is the interval of the weighted sum of independent mean
// squares; a lower end below 0 is 0, and with both below there is none. A single mean square has its exact interval.
func modifiedLargeSample(squares []MeanSquare, weights []float64, confidence float64) *Interval {
	var parts []part
	estimate := 0.0
	for i, m := range squares {
		v := weights[i] * m.Value
		estimate += v
		if v != 0 {
			parts = append(parts, part{size: math.Abs(v), freedom: m.Freedom, positive: v > 0})
		}
	}
	switch {
	case len(parts) == 0:
		return nil
	case len(parts) == 1 && parts[0].positive:
		return MeanSquare{Value: parts[0].size, Freedom: parts[0].freedom}.interval(confidence)
	}
	tail := (1 - confidence) / 2
	low := estimate - math.Sqrt(max(0, lowerVariance(parts, tail)))
	high := estimate + math.Sqrt(max(0, upperVariance(parts, tail)))
	if high <= 0 { // far below 0: the approximation says nothing
		return nil
	}
	return &Interval{Low: max(0, low), High: high}
}

// shrink is how far a mean square may lie above its variance: 1 - 1/F, with F
// the quantile of infinitely many degrees of freedom below it.
func shrink(tail, freedom float64) float64 {
	return 1 - freedom/uncertainty.ChiSquareQuantile(1-tail, freedom)
}

// stretch is how far it may lie below its variance: 1/F - 1.
func stretch(tail, freedom float64) float64 {
	return freedom/uncertainty.ChiSquareQuantile(tail, freedom) - 1
}

func lowerVariance(parts []part, tail float64) float64 {
	return boundVariance(parts, true, tail, shrink, stretch, func(p, n part) float64 {
		f := uncertainty.FQuantile(1-tail, p.freedom, n.freedom)
		g, h := shrink(tail, p.freedom), stretch(tail, n.freedom)
		return ((f-1)*(f-1) - g*g*f*f - h*h) / f
	})
}

func upperVariance(parts []part, tail float64) float64 {
	return boundVariance(parts, false, tail, stretch, shrink, func(p, n part) float64 {
		f := uncertainty.FQuantile(tail, p.freedom, n.freedom)
		h, g := stretch(tail, p.freedom), shrink(tail, n.freedom)
		return ((1-f)*(1-f) - h*h*f*f - g*g) / f
	})
}

// boundVariance sums the squares of one bound, the products of terms of unlike
// sign, and those of the like terms of the side that shrinks.
func boundVariance(parts []part, shrinks bool, tail float64, ofPositive, ofNegative func(tail, freedom float64) float64, unlike func(p, n part) float64) float64 {
	sum := 0.0
	like, other := 0, 0
	for _, a := range parts {
		factor := ofNegative
		if a.positive {
			factor = ofPositive
		}
		k := factor(tail, a.freedom)
		sum += k * k * a.size * a.size
		if a.positive == shrinks {
			like++
		} else {
			other++
		}
	}
	for i, a := range parts {
		for _, b := range parts[i+1:] {
			switch {
			case a.positive && !b.positive:
				sum += unlike(a, b) * a.size * b.size
			case !a.positive && b.positive:
				sum += unlike(b, a) * a.size * b.size
			case a.positive == shrinks && other > 0:
				sum += likeTerm(a, b, tail) / float64(like-1) * a.size * b.size
			}
		}
	}
	return sum
}

// likeTerm is the factor of two terms of the same sign on the side that shrinks.
func likeTerm(a, b part, tail float64) float64 {
	ga, gb := shrink(tail, a.freedom), shrink(tail, b.freedom)
	joint := shrink(tail, a.freedom+b.freedom)
	sum := a.freedom + b.freedom
	return joint*joint*sum*sum/(a.freedom*b.freedom) - ga*ga*a.freedom/b.freedom - gb*gb*b.freedom/a.freedom
}
