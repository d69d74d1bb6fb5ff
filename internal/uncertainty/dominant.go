package uncertainty

import "math"

// Dominant returns the greatest contribution with limits when it makes the
// interval of Coverage wrong: when the 95 % interval of this contribution in its
// own shape, with all others as one Student's t around it, ends more than 5 % of
// Standard from the interval of the budget. That is the comparison of JCGM 101,
// 8.1; 5 % is the coarsest tolerance at which two digits of a standard
// uncertainty still stand and the finest at which one does (7.9.2). Among normal
// contributions a sine passes it from 0.48 of the variance on, a rectangular
// one from 0.54, a triangular one from 0.86; below 0.4 none is looked at. Two such
// contributions of like size, and a mean of very few readings, are not seen;
// Differs with a sample sees them.
func (b Budget) Dominant() (Contribution, bool) {
	index := b.dominant()
	if index < 0 {
		return Contribution{}, false
	}
	return b.Contributions[index], true
}

// dominant is the index of that contribution, -1 when there is none. The end of
// the interval is searched for only where it is near the 5 %.
func (b Budget) dominant() int {
	index := -1
	for i, c := range b.Contributions {
		if c.Distribution.limit() > 0 && (index < 0 || c.Contribution > b.Contributions[index].Contribution) {
			index = i
		}
	}
	if index < 0 || b.Contributions[index].Share < 0.4 {
		return -1
	}
	const wrong, near = 0.05, 2e-3 // near is wider than what the search leaves open
	c := b.Contributions[index]
	rest, freedom := combined(b.Contributions, index)
	coverage := b.Coverage(0.95)
	ends := func(k float64) bool { return outside(c, rest, freedom, k*b.Standard) <= 0.025 } // the interval, by there
	switch {
	case ends(coverage - wrong - near):
		return index
	case !ends(coverage-wrong+near) && ends(coverage+wrong-near):
		return -1
	}
	end := upperEnd(c, rest, freedom, b.Standard)
	if math.Abs(coverage-end/b.Standard) <= wrong {
		return -1
	}
	return index
}

// upperEnd is where 97.5 % of the sum of c and of Student's t, scaled to rest,
// lie below. Both are symmetric about 0.
func upperEnd(c Contribution, rest, freedom, standard float64) float64 {
	low, high := 0.0, 2*standard
	for outside(c, rest, freedom, high) > 0.025 {
		low, high = high, 2*high
	}
	for high-low > 1e-3*standard {
		if middle := (low + high) / 2; outside(c, rest, freedom, middle) > 0.025 {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// outside is the probability of that sum above y, by the middles of cells of
// equal probability of c.
func outside(c Contribution, rest, freedom, y float64) float64 {
	const cells = 100
	sum := 0.0
	for i := range cells {
		x := c.Contribution * c.Distribution.quantile((float64(i)+0.5)/cells)
		switch {
		case rest > 0 && y >= x:
			sum += above((y-x)/rest, freedom)
		case rest > 0:
			sum += 1 - above((x-y)/rest, freedom)
		case x > y:
			sum++
		}
	}
	return sum / cells
}

// quantile is that of a distribution with limits, standard uncertainty 1.
func (d Distribution) quantile(p float64) float64 {
	switch d {
	case Triangular:
		if p > 0.5 {
			return -d.quantile(1 - p)
		}
		return d.limit() * (math.Sqrt(2*p) - 1)
	case UShaped:
		return d.limit() * math.Sin(math.Pi*(p-0.5))
	default:
		return d.limit() * (2*p - 1)
	}
}

// Differs says how far the interval of level of confidence p from a sample of
// deviations (Budget.MonteCarlo) ends from the budget's, as a fraction of
// Standard: the greater of both ends (JCGM 101, 8.1.3). Over 0.05 the budget's
// interval should not be used.
func (b Budget) Differs(s Sample, p float64) float64 {
	expanded, _ := b.Expanded(p)
	low, high := s.Interval(p)
	return max(math.Abs(low+expanded), math.Abs(high-expanded)) / b.Standard
}
