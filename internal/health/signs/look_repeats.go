package signs

import (
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// noise holds the repeats at one master of the newest check that has three or more
// against the gauge's usual scatter.
func (l *looker) noise() {
	f, err := Finding{}, gauge.Refused("signs.few_at_master")
	usual := l.Gauge.Ability.Repeats
	if usual == nil {
		l.says(Noise, f, errUsual)
		return
	}
	for _, c := range slices.Backward(l.Checks) {
		var most []gauge.Length
		for _, p := range c.Points {
			if len(p.Readings) > len(most) {
				most = p.Readings
			}
		}
		if len(most) >= 3 {
			f, err = FindNoise(most, uncertainty.Scatter{SD: usual.Deviation.Metres(), DoF: usual.Freedom}, l.step(), signRate)
			break
		}
	}
	l.says(Noise, f, err)
}

// signPairs is how many of the newest pairs of points hysteresis is looked for in.
const signPairs = 12

// hysteresis pairs the points of the checks that were approached from both sides.
func (l *looker) hysteresis() {
	var up, down []gauge.Length
	for _, c := range l.standing() {
		for _, rising := range c.result.Points {
			for _, falling := range c.result.Points {
				if rising.Master == falling.Master && !rising.Falling && falling.Falling {
					up, down = append(up, rising.Mean), append(down, falling.Mean)
				}
			}
		}
	}
	f, err := Finding{}, gauge.Refused("signs.one_way")
	if n := len(up); n > 0 {
		var allowed gauge.Length
		if limit := l.Gauge.Ability.Error; limit != nil {
			allowed = *limit / 2
		}
		newest := max(n-signPairs, 0)
		f, err = FindHysteresis(up[newest:], down[newest:], allowed, l.step(), signRate)
	}
	l.says(Hysteresis, f, err)
}
