package signs

import (
	"slices"

	"gauged/internal/gauge"
)

const (
	// signRate is how often a look at a healthy gauge finds a certain sign that is
	// not there.
	signRate Rate = 0.001
	// batteryReadings without a flag are those of a battery that was changed.
	batteryReadings = 100
)

// usualShare is how often a healthy gauge loses a frame or flags its battery, or
// masters are mixed up in a check; the number is ours.
var usualShare = Share{Count: 1, Of: 1000}

// needStep are the signs that cannot be judged without the step of the display.
var needStep = []Kind{
	LostResolution, Stuck, MissedCounts, PresetLeftOn, ZeroOff,
	Reversed, Noise, Hysteresis,
}

var errNoStep = gauge.Refused("signs.no_step")

// looker looks at one gauge.
type looker struct {
	History
	signs []Sign
}

// Look looks for every sign that the gauge can show.
func Look(h History) []Sign {
	l := looker{History: h}
	return l.look()
}

func (l *looker) look() []Sign {
	byEye := l.Gauge.Mode == gauge.ModeTyped // it is not asked for what electronics show
	if !byEye {
		l.battery()
	}
	l.frames()
	l.unit()
	if l.step() <= 0 {
		for _, kind := range needStep {
			l.says(kind, Finding{}, errNoStep)
		}
		return l.signs
	}
	l.resolution()
	l.stuck()
	if !byEye {
		l.missed()
	}
	l.zeroOff()
	l.reversed()
	l.noise()
	l.hysteresis()
	return l.signs
}

func (l *looker) says(kind Kind, f Finding, err error) {
	sign := Sign{Kind: kind, Found: f.Kind != "", Detail: f.Detail}
	if err != nil {
		sign.Refused = gauge.Told(err)
	}
	l.signs = append(l.signs, sign)
}

// step is that of the display; 0 when it is not stated.
func (l *looker) step() gauge.Length {
	if step := l.Gauge.Ability.Resolution; step != nil {
		return *step
	}
	return l.Gauge.Resolution
}

// resolution looks at places that lie at least seven steps apart: those of one rest
// share their last digits, and seven has no factor in common with five. What was read at a
// master says nothing: masters are of round sizes.
func (l *looker) resolution() {
	const apart = 7
	step := l.step()
	var values []gauge.Length
	seen := map[gauge.Length]gauge.Length{} // by stretches of seven steps
	atMasters := l.atMasters()
	for _, f := range l.Readings {
		v := f.Value
		if atMasters[v] {
			continue
		}
		near := func(stretch gauge.Length) bool {
			other, ok := seen[stretch]
			return ok && (other-v).Abs() < apart*step
		}
		at := v / max(apart*step, 1)
		if step > 0 && (near(at-1) || near(at) || near(at+1)) {
			continue
		}
		seen[at] = v
		values = append(values, v)
	}
	f, err := FindLostResolution(values, step, signRate)
	l.says(LostResolution, f, err)
}

// atMasters are the values that were read in checks.
func (l *looker) atMasters() map[gauge.Length]bool {
	read := map[gauge.Length]bool{}
	for _, c := range l.Checks {
		for _, p := range slices.Concat(c.Points, c.PointsLeft) {
			for _, v := range p.Readings {
				read[v] = true
			}
		}
	}
	return read
}

func (l *looker) battery() {
	var statuses []gauge.Status
	for _, f := range l.Readings {
		statuses = append(statuses, f.Status)
	}
	if newest := statuses[max(len(statuses)-batteryReadings, 0):]; !slices.Contains(newest, gauge.StatusLowBattery) {
		statuses = newest
	}
	f, err := FindLowBattery(statuses, usualShare, signRate)
	l.says(LowBattery, f, err)
}
