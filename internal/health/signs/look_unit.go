package signs

import (
	"maps"
	"math"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// unit holds what the gauge measured in the newest jobs, or showed at masters in its last
// check, against what it should be.
func (l *looker) unit() {
	f, err := l.unitInJobs()
	if f.Kind == "" {
		if g, gErr := l.unitInCheck(); gErr == nil {
			f, err = g, nil
		}
	}
	l.says(WrongUnit, f, err)
}

// unitInJobs looks at the last job, or at so many as are needed to judge.
func (l *looker) unitInJobs() (Finding, error) {
	f, err := Finding{}, gauge.Refused("signs.no_expected")
	var pairs []Compared
	for back := 1; back <= min(3, len(l.Jobs)); back++ {
		pairs = append(pairs, l.against(len(l.Jobs)-back)...)
		if len(pairs) == 0 {
			continue
		}
		if f, err = FindWrongUnit(pairs, comparedScatter.Metres(), signRate/2); err == nil {
			break
		}
	}
	return f, err
}

// unitInCheck looks at the points of the last check that are not zero.
func (l *looker) unitInCheck() (Finding, error) {
	for _, c := range slices.Backward(l.standing()) {
		var pairs []Compared
		for _, p := range c.result.Points {
			if p.Reference != 0 {
				pairs = append(pairs, compared(p.Mean, float64(p.Reference), 0))
			}
		}
		if len(pairs) > 0 {
			return FindWrongUnit(pairs, comparedScatter.Metres(), signRate/2)
		}
	}
	return Finding{}, gauge.Refused("signs.zero_alone")
}

// comparedScatter is the scatter to which all pairs are brought: the sizes of
// measurements differ, and only their ratios count.
var comparedScatter = gauge.Millimetre.Size()

// compared scales a reading and what it should be so that their scatter is comparedScatter. It
// is at least a thousandth of the size: a unit is never told by less.
func compared(shown gauge.Length, expected, sd float64) Compared {
	scale := float64(comparedScatter) / max(sd, math.Abs(expected)/1000)
	return Compared{Shown: gauge.Length(math.Round(float64(shown) * scale)), Expected: gauge.Length(math.Round(expected * scale))}
}

// against compares the gauge's measurements of a job with what they should be.
func (l *looker) against(job int) []Compared {
	var pairs []Compared
	own := l.Jobs[job].Own
	for _, name := range slices.Sorted(maps.Keys(own)) {
		if expected, sd := l.expected(job, name); expected != 0 && sd != 0 {
			pairs = append(pairs, compared(gauge.Length(median(own[name])), expected, sd))
		}
	}
	return pairs
}

// expected is what a measurement should be and how far it scatters, in picometres: the
// middle of the plausible range where that is narrow enough to tell a unit, else what other
// jobs gave. Zero: not known.
func (l *looker) expected(job int, measurement string) (value, sd float64) {
	own := l.Jobs[job]
	if plausible, ok := own.Plausible[measurement]; ok {
		low, high := float64(plausible.Low), float64(plausible.High)
		value, sd = (low+high)/2, (high-low)/math.Sqrt(12)
		if math.Abs(value) > 5*sd {
			return value, sd
		}
	}
	const enough = 5
	var others []float64
	for i, j := range l.Jobs {
		if i != job && j.Procedure == own.Procedure && len(j.Values[measurement]) > 0 {
			others = append(others, median(j.Values[measurement]))
		}
	}
	if len(others) < enough {
		return value, sd
	}
	middle := uncertainty.Median(others)
	var off []float64
	for _, o := range others {
		off = append(off, math.Abs(o-middle))
	}
	// Of few others the scatter is not well known; a twentieth of the size is at least taken. The
	// median size of a normal deviate is 1/1.4826 of its standard deviation.
	return middle, max(1.4826*uncertainty.Median(off), math.Abs(middle)/20)
}

// median is that of lengths, in picometres; 0 of none.
func median(values []gauge.Length) float64 {
	if len(values) == 0 {
		return 0
	}
	var all []float64
	for _, v := range values {
		all = append(all, float64(v))
	}
	return uncertainty.Median(all)
}
