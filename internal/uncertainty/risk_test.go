package uncertainty

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
)

// Window lies between two limits, which may be infinite.
type Window struct{ Low, High float64 }

// Production is the normal distribution of what is made before it is measured.
type Production struct{ Mean, Standard float64 }

// Conforming is the probability that a part of the production is inside the
// tolerance.
func (p Production) Conforming(tolerance Window) float64 {
	return between((tolerance.Low-p.Mean)/p.Standard, (tolerance.High-p.Mean)/p.Standard, math.Inf(1))
}

// Risks are the global risks of accepting parts whose measured value is inside
// the window of acceptance (JCGM 106, clause 9). The measurement has the
// standard uncertainty u, normal, over 0. The consumer's is the probability that
// a part is accepted and outside the tolerance, the producer's that it is
// rejected and inside. Both are good to 1e-9.
func (p Production) Risks(u float64, tolerance, acceptance Window) (consumer, producer float64) {
	accepted := func(value float64) float64 {
		return between((acceptance.Low-value)/u, (acceptance.High-value)/u, math.Inf(1))
	}
	rejected := func(value float64) float64 {
		return above0((value-acceptance.Low)/u) + above0((acceptance.High-value)/u)
	}
	consumer = p.mean(accepted, Window{math.Inf(-1), tolerance.Low}, u, acceptance) +
		p.mean(accepted, Window{tolerance.High, math.Inf(1)}, u, acceptance)
	return consumer, p.mean(rejected, tolerance, u, acceptance)
}

// above0 is the standard normal probability above t of any sign.
func above0(t float64) float64 { return math.Erfc(t/math.Sqrt2) / 2 }

// far is where a normal distribution ends for an integral: beyond it is 1e-23.
const far = 10

// mean integrates f, weighted with the density of the production, over the part
// of it inside w. f is smooth over lengths of u and bends at acceptance limits.
func (p Production) mean(f func(float64) float64, w Window, u float64, acceptance Window) float64 {
	low, high := max(w.Low, p.Mean-far*p.Standard), min(w.High, p.Mean+far*p.Standard)
	if low >= high {
		return 0
	}
	weighted := func(x float64) float64 {
		z := (x - p.Mean) / p.Standard
		return f(x) * math.Exp(-z*z/2) / (p.Standard * math.Sqrt(2*math.Pi))
	}
	cuts := []float64{low, high, p.Mean}
	for _, limit := range []float64{acceptance.Low, acceptance.High} {
		cuts = append(cuts, limit-far*u, limit, limit+far*u)
	}
	cuts = slices.DeleteFunc(cuts, func(x float64) bool { return !(x >= low && x <= high) })
	slices.Sort(cuts)
	sum := 0.0
	for i := range len(cuts) - 1 {
		sum += quad.Fixed(weighted, cuts[i], cuts[i+1], 100, nil, 0)
	}
	return sum
}
