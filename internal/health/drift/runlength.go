package drift

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// nodes of the Gauss-Legendre rule: enough for ten digits of the run lengths
// that the tests compare.
const nodes = 96

// ShewhartRunLength returns the average number of checks until one lies beyond
// the limits, when the errors have moved by shift sigma.
func ShewhartRunLength(width, shift float64) float64 {
	return 1 / (distuv.UnitNormal.CDF(-width-shift) + distuv.UnitNormal.CDF(-width+shift))
}

// EWMARunLength returns the average run length of an EWMA chart with asymptotic
// limits that begins at the centre, when the errors have moved by shift sigma:
// the integral equation of Crowder 1987 (from memory) by Gauss-Legendre
// quadrature. It is infinite beyond 1e12.
func EWMARunLength(lambda, width, shift float64) float64 {
	h := width * math.Sqrt(lambda/(2-lambda))
	density := func(from, to float64) float64 {
		return distuv.UnitNormal.Prob((to-(1-lambda)*from)/lambda-shift) / lambda
	}
	y, weight := legendre(-h, h)
	a, ones := system(len(y))
	for i := range y {
		for j := range y {
			a[i][j] -= weight[j] * density(y[i], y[j])
		}
	}
	length := solve(a, ones)
	arl := 1.0
	for j := range y {
		arl += weight[j] * length[j] * density(0, y[j])
	}
	return known(arl)
}

// CUSUMRunLength returns the average run length of a two-sided CUSUM chart that
// begins at 0, when the errors have moved by shift sigma: one over the sum of
// the rates of both sides (NIST/SEMATECH e-Handbook, 6.3.2.3.1, where the run
// length without shift is that of one side).
func CUSUMRunLength(slack, height, shift float64) float64 {
	up, down := CUSUMSideRunLength(slack, height, shift), CUSUMSideRunLength(slack, height, -shift)
	return 1 / (1/up + 1/down)
}

// longest is the run length from which the equations no longer have enough
// digits: longer ones are taken as without end.
const longest = 1e12

func known(arl float64) float64 {
	if !(arl >= 1 && arl < longest) {
		return math.Inf(1)
	}
	return arl
}

// CUSUMSideRunLength is that of the upper side alone, by the integral equation
// of Page 1954 (from memory). It is infinite beyond 1e12.
func CUSUMSideRunLength(slack, height, shift float64) float64 {
	y, weight := legendre(0, height)
	a, ones := system(len(y) + 1)
	from := append(y, 0) // the last unknown is that at 0, where the sum stays with a probability
	for i, u := range from {
		for j := range weight {
			a[i][j] -= weight[j] * distuv.UnitNormal.Prob(y[j]+slack-u-shift)
		}
		a[i][len(weight)] -= distuv.UnitNormal.CDF(slack - u - shift)
	}
	return known(solve(a, ones)[len(weight)])
}

func legendre(low, high float64) (x, weight []float64) {
	x, weight = make([]float64, nodes), make([]float64, nodes)
	quad.Legendre{}.FixedLocations(x, weight, low, high)
	return x, weight
}

// system returns the unit matrix and a right side of ones: run lengths L solve
// L = 1 + K L.
func system(n int) (a [][]float64, ones []float64) {
	a, ones = make([][]float64, n), make([]float64, n)
	for i := range a {
		a[i] = make([]float64, n)
		a[i][i], ones[i] = 1, 1
	}
	return a, ones
}

// solve returns x with a x = b by elimination with row exchange; both are
// overwritten.
func solve(a [][]float64, b []float64) []float64 {
	n := len(a)
	for k := range n {
		pivot := k
		for i := k + 1; i < n; i++ {
			if math.Abs(a[i][k]) > math.Abs(a[pivot][k]) {
				pivot = i
			}
		}
		a[k], a[pivot], b[k], b[pivot] = a[pivot], a[k], b[pivot], b[k]
		for i := k + 1; i < n; i++ {
			f := a[i][k] / a[k][k]
			if f == 0 {
				continue
			}
			for j := k + 1; j < n; j++ {
				a[i][j] -= f * a[k][j]
			}
			b[i] -= f * b[k]
		}
	}
	for k := n - 1; k >= 0; k-- {
		for j := k + 1; j < n; j++ {
			b[k] -= a[k][j] * b[j]
		}
		b[k] /= a[k][k]
	}
	return b
}
