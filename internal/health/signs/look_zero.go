package signs

import (
	"math"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/uncertainty"
)

// signZeros is in how many of the newest checks at zero missed counts are looked for.
const signZeros = 10

// checked is a check as the gauge went on after it.
type checked struct {
	result check.Result
	points []check.StoredPoint
}

// standing are the checks since the gauge was last adjusted, as it was left then; oldest first.
func (l *looker) standing() []checked {
	var all []checked
	for _, c := range l.Checks {
		if c.Left != nil {
			all = []checked{{*c.Left, c.PointsLeft}}
			continue
		}
		all = append(all, checked{c.Result, c.Points})
	}
	return all
}

// zeros are the readings at the master zero of each of the standing checks that has some.
func (l *looker) zeros() [][]gauge.Length {
	var all [][]gauge.Length
	for _, c := range l.standing() {
		var readings []gauge.Length
		for _, p := range c.points {
			if p.Master.ID == check.ZeroMaster {
				readings = append(readings, p.Readings...)
			}
		}
		if len(readings) > 0 {
			all = append(all, readings)
		}
	}
	return all
}

var errNoZero = gauge.Refused("signs.no_zero")

// zeroScatter is how the returns to zero scatter, in metres: a standard deviation from their
// jumps, which one lost count does not change. It is not known of few.
func zeroScatter(zeros []gauge.Length) (sd float64, known bool) {
	const enough = 6
	if len(zeros) < enough {
		return 0, false
	}
	var jumps []float64
	for i := range zeros[1:] {
		jumps = append(jumps, (zeros[i+1] - zeros[i]).Abs().Metres())
	}
	// The median of the size of a normal deviate is 0.6745, and two scatter in a jump.
	return uncertainty.Median(jumps) / (0.6745 * math.Sqrt2), true
}

var errUsual = gauge.Refused("signs.no_usual")

// repeats is the usual standard deviation of a reading, in metres.
func (l *looker) repeats() (sd float64, known bool) {
	if usual := l.Gauge.Ability.Repeats; usual != nil {
		return usual.Deviation.Metres(), true
	}
	return 0, false
}

func means(groups [][]gauge.Length) []gauge.Length {
	var all []gauge.Length
	for _, g := range groups {
		all = append(all, gauge.Mean(g...))
	}
	return all
}

// missed looks for counts that were lost between two returns to zero.
func (l *looker) missed() {
	zeros := means(l.zeros())
	find := func() (Finding, error) {
		if l.Gauge.Pitch == 0 {
			return Finding{}, gauge.Refused("signs.no_pitch")
		}
		if len(zeros) == 0 {
			return Finding{}, errNoZero
		}
		sd, known := l.repeats()
		if !known {
			sd, known = zeroScatter(zeros)
		}
		if !known {
			return Finding{}, errUsual
		}
		return FindMissedCounts(zeros[max(len(zeros)-signZeros, 0):], l.Gauge.Pitch, sd, l.step(), signRate)
	}
	f, err := find()
	l.says(MissedCounts, f, err)
}

// zeroOff looks at the last return to zero: is it off, and by a preset?
func (l *looker) zeroOff() {
	zeros := l.zeros()
	find := func() (Finding, error) {
		limit := l.Gauge.Ability.Error
		switch {
		case len(zeros) == 0:
			return Finding{}, errNoZero
		case limit == nil:
			return Finding{}, gauge.Refused("signs.no_limit")
		}
		// Hand and faces add to the scatter of a return: the larger one counts.
		sd, known := l.repeats()
		if returns, enough := zeroScatter(means(zeros)); enough {
			sd, known = max(sd, returns), true
		}
		if !known {
			return Finding{}, errUsual
		}
		return FindPreset(zeros[len(zeros)-1], l.Gauge.Presets, *limit, sd, l.step(), signRate)
	}
	f, err := find()
	preset, off := f, f
	if f.Kind == PresetLeftOn {
		off = Finding{}
	} else {
		preset = Finding{}
	}
	l.says(PresetLeftOn, preset, err)
	l.says(ZeroOff, off, err)
}
