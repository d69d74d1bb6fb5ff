package station

import (
	"cmp"
	"errors"
	"maps"
	"math"
	"slices"

	"gauged/internal/fleet/signature"
	"gauged/internal/gauge"
	"gauged/internal/statistics"
)

// measured is what the lengths of a job say, by measurement.
func (j foldedJob) measured(gaugeID string) measuredJob {
	m := measuredJob{procedure: j.Procedure, values: map[string][]gauge.Length{}, own: map[string]bool{}}
	discarded := map[string][]gauge.Length{}
	for _, r := range j.taken {
		if r.Unit.Kind() != gauge.KindLength {
			continue
		}
		if r.Gauge == gaugeID {
			m.own[r.Measurement] = true
		}
		if r.Discarded != "" {
			discarded[r.Measurement] = append(discarded[r.Measurement], r.Value)
			continue
		}
		m.values[r.Measurement] = append(m.values[r.Measurement], r.Value)
	}
	for name, values := range discarded {
		if len(m.values[name]) == 0 {
			m.values[name] = values
		}
	}
	return m
}

// unit holds what the gauge measured in the newest jobs against what it should be: in the
// last one, or in so many as are needed to judge.
func (l *looker) unit() {
	f, err := signature.Finding{}, errors.New("no job says what it should show: state a plausible range in a procedure, or let more jobs come")
	var pairs []signature.Compared
	for back := 1; back <= min(3, len(l.jobs)); back++ {
		pairs = append(pairs, l.against(len(l.jobs)-back)...)
		if len(pairs) == 0 {
			continue
		}
		if f, err = signature.FindWrongUnit(pairs, comparedScatter.Metres(), signRate); err == nil {
			break
		}
	}
	l.says(signature.WrongUnit, f, err)
}

// comparedScatter is the scatter to which all pairs are brought: the sizes of
// measurements differ, and only their ratios count.
var comparedScatter = gauge.Millimetre.Size()

// against compares the gauge's measurements of a job with what they should be.
func (l *looker) against(job int) []signature.Compared {
	j := l.jobs[job]
	var pairs []signature.Compared
	for _, name := range slices.Sorted(maps.Keys(j.own)) {
		expected, sd := l.expected(job, name)
		if expected == 0 || sd == 0 {
			continue
		}
		scale := float64(comparedScatter) / max(sd, math.Abs(expected)/1000)
		pairs = append(pairs, signature.Compared{
			Shown: gauge.Length(math.Round(median(j.values[name]) * scale)), Expected: gauge.Length(math.Round(expected * scale)),
		})
	}
	return pairs
}

// expected is what a measurement should be and how far it scatters, in picometres: the
// middle of the plausible range, or what other jobs gave where they scatter less. Zero: not known.
func (l *looker) expected(job int, measurement string) (value, sd float64) {
	p := l.jobs[job].procedure
	if step, _, ok := p.Step(measurement); ok && step.Plausible.Min != nil && step.Plausible.Max != nil {
		low, high := float64(*step.Plausible.Min), float64(*step.Plausible.Max)
		value, sd = (low+high)/2, (high-low)/math.Sqrt(12)
	}
	const enough = 5
	var others []float64
	for i, j := range l.jobs {
		if i != job && j.procedure.ID == p.ID && len(j.values[measurement]) > 0 {
			others = append(others, median(j.values[measurement]))
		}
	}
	if len(others) < enough {
		return value, sd
	}
	middle := statistics.Median(others)
	var off []float64
	for _, o := range others {
		off = append(off, math.Abs(o-middle))
	}
	// Of few others the scatter is not well known; a twentieth of the size is at least taken.
	scatter := max(1.4826*statistics.Median(off), math.Abs(middle)/20)
	if value == 0 || cmp.Less(scatter/math.Abs(middle), sd/math.Abs(value)) {
		return middle, scatter
	}
	return value, sd
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
	return statistics.Median(all)
}
