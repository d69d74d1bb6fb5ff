package drift

import (
	"errors"
	"fmt"
	"math"
)

// The factors of moving ranges of two, as printed in the NIST/SEMATECH
// e-Handbook, 6.3.2.1 and 6.3.2.2.
const (
	rangeMean  = 1.128 // d2
	rangeUpper = 3.267 // D4
)

// LeastBaseline is the number of checks that limits are made from at least,
// UsualBaseline what is taken where nothing is said. Both are ours.
const (
	LeastBaseline = 5
	UsualBaseline = 10
)

// Baseline is what a chart compares with.
type Baseline struct {
	Centre float64 `json:"centre"`
	Sigma  float64 `json:"sigma"`
	Range  float64 `json:"range"`  // mean moving range; 0 with a given sigma
	Checks int     `json:"checks"` // that it was made from; 0: given, and taken as exact
}

// BaselineOf makes a baseline from errors in control: their mean, and sigma
// from the mean moving range (NIST/SEMATECH e-Handbook, 6.3.2.2).
func BaselineOf(found []float64) (Baseline, error) {
	if len(found) < LeastBaseline {
		return Baseline{}, fmt.Errorf("limits need a baseline of %d checks or more: there are %d", LeastBaseline, len(found))
	}
	sum, moved := 0.0, 0.0
	for i, x := range found {
		sum += x - found[0]
		if i > 0 {
			moved += math.Abs(x - found[i-1])
		}
	}
	b := Baseline{Centre: found[0] + sum/float64(len(found)), Range: moved / float64(len(found)-1), Checks: len(found)}
	b.Sigma = b.Range / rangeMean
	if !(b.Sigma > 0) {
		return Baseline{}, errors.New("the errors of the baseline are all equal, which gives no limits: state them with more digits, or give sigma")
	}
	return b, nil
}

// SigmaUncertainty returns the relative standard uncertainty of sigma: that of
// the mean of the n-1 moving ranges of n independent normal values, whose
// neighbours share a value. |U| of a normal U with variance 2 has the mean
// 2/sqrt(pi) and the variance 2 - 4/pi; for neighbours, with correlation -1/2,
// E|U||V| = (4/pi)(sqrt(3)/2 + pi/12).
func (b Baseline) SigmaUncertainty() float64 {
	m := float64(b.Checks - 1)
	if m < 1 {
		return 0
	}
	one := 2 - 4/math.Pi
	shared := 4 / math.Pi * (math.Sqrt(3)/2 + math.Pi/12 - 1)
	return math.Sqrt((one*m+2*shared*(m-1))/(m*m)) / (2 / math.Sqrt(math.Pi))
}

// limits are width sigma on both sides of the centre.
func (b Baseline) limits(width float64) (low, high float64) {
	return b.Centre - width*b.Sigma, b.Centre + width*b.Sigma
}
