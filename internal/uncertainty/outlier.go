package uncertainty

import "math"

// Level is the accepted probability of a false alarm, such as 0.05.
type Level float64

// Side says on which side a value may stand out.
type Side int

// The sides.
const (
	EitherSide Side = iota
	LargestSide
	SmallestSide
)

// Grubbs returns the index of the value of x that stands out most on the given
// side, and by how many standard deviations it is off the mean (NIST/SEMATECH
// e-Handbook of Statistical Methods, 1.3.5.17.1). Compare with [GrubbsCritical].
//
// Values that a display rounded to a step scatter less than what they show when
// they agree to the digit, so step^2/12 is added to their variance (JCGM
// 100:2008, F.2.2.1); a step of 0 adds nothing. Without any scatter, and below
// three values, nothing stands out: g is 0.
func Grubbs(x []float64, side Side, step float64) (index int, g float64) {
	if len(x) < 3 {
		return 0, 0
	}
	mean, sd := MeanStdDev(x)
	sd = widened(sd, step)
	if sd == 0 {
		return 0, 0
	}
	for i, v := range x {
		off := v - mean
		switch side {
		case EitherSide:
			off = math.Abs(off)
		case SmallestSide:
			off = -off
		}
		if off/sd > g {
			index, g = i, off/sd
		}
	}
	return index, g
}

// widened is a standard deviation with that of a display step added.
func widened(sd, step float64) float64 { return math.Hypot(sd, step/math.Sqrt(12)) }

// GrubbsCritical returns what g of n values exceeds with the probability level
// when all come from one normal distribution (NIST/SEMATECH e-Handbook of
// Statistical Methods, 1.3.5.17.1). Below three values it is NaN.
func GrubbsCritical(n int, level Level, side Side) float64 {
	if n < 3 {
		return math.NaN()
	}
	m := float64(n)
	tail := float64(level) / m
	if side == EitherSide {
		tail /= 2
	}
	t := -StudentQuantile(tail, m-2)
	return (m - 1) / math.Sqrt(m) * math.Sqrt(t*t/(m-2+t*t))
}

// Deviate is one step of [ESD]: the value that stands out most of those left,
// by how many standard deviations, and what is critical for it.
type Deviate struct {
	Index    int // in the values as given
	G        float64
	Critical float64
}

// ESD is the generalized extreme studentized deviate test (Rosner 1983;
// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.17.3): the value that
// stands out most is set aside, most times, and the last step that is critical
// says how many stand out, so that outliers cannot hide each other. The
// handbook calls it reasonably accurate from 15 values, very accurate from 25.
// A step of the display counts as in [Grubbs].
//
// The first outliers of the deviates stand out; the others are returned to be
// shown.
func ESD(x []float64, most int, level Level, step float64) (deviates []Deviate, outliers int) {
	left := append([]float64(nil), x...)
	index := make([]int, len(x))
	for i := range index {
		index[i] = i
	}
	for len(deviates) < most && len(left) > 2 {
		// Rosner's critical value of a step is Grubbs' of the values left.
		i, g := Grubbs(left, EitherSide, step)
		critical := GrubbsCritical(len(left), level, EitherSide)
		deviates = append(deviates, Deviate{Index: index[i], G: g, Critical: critical})
		if g > critical {
			outliers = len(deviates)
		}
		left = append(left[:i], left[i+1:]...)
		index = append(index[:i], index[i+1:]...)
	}
	return deviates, outliers
}
