package uncertainty

import "math"

// BeyondUsual is how often repeats that scatter as usual are said to scatter more.
const BeyondUsual = 0.01

// OwnFrom is the number of repeats from which their own scatter counts.
const OwnFrom = 5

// Counts returns the scatter by which the mean of repeats is judged where a usual
// one is stated: the usual one for fewer than five repeats, their own from five on
// or where it has more degrees of freedom (our choice), and always their own where
// they scatter more than usual. More is what an F test of the two variances finds at
// 1 % (NIST/SEMATECH e-Handbook, 1.3.5.9, one-sided). The display, which counts in
// step (0: not stated), adds its own rounding to what it shows; repeats that differ
// by one step at most show nothing of their scatter, and the usual one counts. A usual
// scatter of no stated freedom (0) is taken as exactly known.
func (usual Scatter) Counts(repeats []float64, step float64) (scatter Scatter, more bool) {
	own := ScatterOf(repeats)
	switch {
	case own.DoF == 0 || spread(repeats) <= step:
		return usual, false
	case usual.exceeded(own, step):
		return own, true
	case len(repeats) >= OwnFrom || usual.DoF != 0 && usual.DoF < own.DoF:
		return own, false
	}
	return usual, false
}

// exceeded reports whether a scatter as shown is larger than the usual one.
func (usual Scatter) exceeded(own Scatter, step float64) bool {
	limit := 0.0
	if usual.DoF == 0 {
		limit = ChiSquareQuantile(1-BeyondUsual, float64(own.DoF)) / float64(own.DoF)
	} else {
		limit = FQuantile(1-BeyondUsual, float64(own.DoF), float64(usual.DoF))
	}
	return own.SD*own.SD > limit*(usual.SD*usual.SD+step*step/12)
}

func spread(x []float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range x {
		low, high = min(low, v), max(high, v)
	}
	return high - low
}
