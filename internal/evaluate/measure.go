package evaluate

import (
	"slices"

	"gauged/internal/gauge"
)

// complete is the outcome of measuring when nothing is missing; it is never
// the outcome of an evaluation.
const complete Outcome = ""

// measure works out each step from its readings and says whether the next
// stage may begin.
func (w *work) measure(steps []Step, after bool, readings []Reading) Outcome {
	outcome := complete
	for _, s := range steps {
		m := Measurement{Name: s.Name, Repeats: s.Repeats, Agree: s.Agree, After: after}
		var counting []gauge.Length
		for _, r := range readings {
			if r.Measurement != s.Name {
				continue
			}
			m.Readings = append(m.Readings, r)
			if r.Discarded == "" {
				counting = append(counting, r.Value)
			}
		}
		again := w.step(s, &m, counting)
		w.e.Measurements = append(w.e.Measurements, m)
		switch {
		case again:
			outcome = MeasureAgain
		case !m.Complete && outcome == complete:
			outcome = Measuring
		}
	}
	return outcome
}

// step fills in the statistics of one measurement and reports whether its
// readings cannot be believed.
func (w *work) step(s Step, m *Measurement, counting []gauge.Length) (again bool) {
	for _, r := range m.Readings {
		if r.Discarded == "" && !s.Plausible.Contains(r.Value) {
			again = true
			w.find(FindingImplausible, "%s: %s %s is not within %s: check the gauge's zero, its unit and the faces that are measured, then discard the reading with the reason and measure again",
				s.Name, r.Shown, r.Unit, w.p.showLimits(s.Plausible))
		}
	}
	if len(counting) == 0 {
		return again
	}
	value := s.Take.of(counting)
	m.Value = &value
	w.values[s.Name] = value
	if len(counting) > 1 {
		spread := TakeRange.of(counting)
		m.Spread = &spread
		if s.Agree != nil && spread > *s.Agree {
			again = true
			w.find(FindingDisagree, "%s: the readings differ by %s, allowed is %s: clean and seat the parts, read again, and discard the reading that is wrong with the reason",
				s.Name, w.p.show(spread), w.p.show(*s.Agree))
		}
	}
	m.Complete = len(counting) >= s.Repeats && !again
	return again
}

// of computes the statistic of one or more readings. A mean is rounded once to
// a picometre, half to even.
func (t Take) of(readings []gauge.Length) gauge.Length {
	switch t {
	case TakeSmallest:
		return slices.Min(readings)
	case TakeLargest:
		return slices.Max(readings)
	case TakeRange:
		return slices.Max(readings) - slices.Min(readings)
	case TakeMedian:
		sorted := slices.Sorted(slices.Values(readings))
		half := len(sorted) / 2
		if len(sorted)%2 == 1 {
			return sorted[half]
		}
		return gauge.Mean(sorted[half-1 : half+1]...)
	default:
		return gauge.Mean(readings...)
	}
}
