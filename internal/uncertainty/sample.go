package uncertainty

import (
	"math"
	"slices"
)

// Sample is what was drawn by a Monte Carlo method. It does not change. The
// figures of an empty sample are NaN.
type Sample struct{ values []float64 }

// Mean of the sample.
func (s Sample) Mean() float64 {
	mean, _ := s.moments()
	return mean
}

// Standard deviation of the sample (JCGM 101, eq. 17).
func (s Sample) Standard() float64 {
	_, standard := s.moments()
	return standard
}

// moments corrects both for the rounding of a first mean.
func (s Sample) moments() (mean, standard float64) {
	n := float64(len(s.values))
	for _, v := range s.values {
		mean += v
	}
	mean /= n
	var sum, squares float64
	for _, v := range s.values {
		d := v - mean
		sum += d
		squares += float64(d * d)
	}
	return mean + sum/n, math.Sqrt((squares - float64(sum*sum)/n) / (n - 1))
}

// Probability is the fraction of the sample between low and high, which may be
// infinite; a value on a limit is inside.
func (s Sample) Probability(low, high float64) float64 {
	inside := 0
	for _, v := range s.values {
		if low <= v && v <= high {
			inside++
		}
	}
	return float64(inside) / float64(len(s.values))
}

// Interval holds the fraction p of the sample, with as much below as above it
// (JCGM 101, 7.7.2).
func (s Sample) Interval(p float64) (low, high float64) {
	inside, ok := s.inside(p)
	if !ok {
		return math.NaN(), math.NaN()
	}
	values := slices.Clone(s.values)
	below := (len(values)-inside+1)/2 - 1 // index: the standard's r less 1
	below = max(below, 0)
	order(values, below)
	order(values[below:], inside)
	return values[below], values[below+inside]
}

// Shortest is the shortest interval that holds the fraction p of the sample
// (JCGM 101, 7.7.4).
func (s Sample) Shortest(p float64) (low, high float64) {
	inside, ok := s.inside(p)
	if !ok {
		return math.NaN(), math.NaN()
	}
	values := slices.Clone(s.values)
	choices := len(values) - inside // the lowest and highest so many values are its ends
	if 2*choices < len(values) {
		order(values, choices-1)
		order(values[choices:], inside-choices)
		slices.Sort(values[:choices])
		slices.Sort(values[inside:])
	} else {
		slices.Sort(values)
	}
	best := 0
	for i := range choices {
		if values[i+inside]-values[i] < values[best+inside]-values[best] {
			best = i
		}
	}
	return values[best], values[best+inside]
}

// inside is how many steps from value to value an interval with fraction p of
// the sample covers: fewer than there are values.
func (s Sample) inside(p float64) (steps int, ok bool) {
	n := len(s.values)
	if n < 2 || !(p > 0 && p < 1) {
		return 0, false
	}
	return min(int(math.Floor(float64(p*float64(n))+0.5)), n-1), true
}

// order moves the values so that the one at index k stands where sorting would
// put it, with none greater before and none smaller after it (R. W. Floyd and
// R. L. Rivest, Algorithm 489, Communications of the ACM 18, 1975).
func order(values []float64, k int) {
	for low, high := 0, len(values)-1; low < high; {
		if high-low > 600 {
			// First bring what is probably near k into place, by a small part.
			n, i := float64(high-low+1), float64(k-low+1)
			z := math.Log(n)
			s := math.Exp(2*z/3) / 2
			sd := math.Copysign(math.Sqrt(z*s*(n-s)/n)/2, i-n/2)
			from := max(low, int(float64(k)-i*s/n+sd))
			to := min(high, int(float64(k)+(n-i)*s/n+sd))
			order(values[from:to+1], k-from)
		}
		i, j := split(values, low, high, values[k])
		if j < k {
			low = i
		}
		if k < i {
			high = j
		}
	}
}

// split moves values below the pivot to the front and those above to the back:
// after it values[low:i] are at most, values[j+1:high+1] at least the pivot.
func split(values []float64, low, high int, pivot float64) (i, j int) {
	i, j = low, high
	for i <= j {
		for values[i] < pivot {
			i++
		}
		for pivot < values[j] {
			j--
		}
		if i <= j {
			values[i], values[j] = values[j], values[i]
			i++
			j--
		}
	}
	return i, j
}
