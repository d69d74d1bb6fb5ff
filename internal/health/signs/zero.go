package signs

import (
	"errors"
	"fmt"
	"math"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// FindMissedCounts looks for a scale that missed counts: between two returns to zero
// the gauge jumped by a whole number of pitches, the length that its
// electronics count in. zeros are the returns in order, sd their usual standard
// deviation in metres, step that of the display. The statistic is the largest change
// between neighbours that is a number of pitches, over its standard deviation.
// It refuses a pitch that scatter alone could make.
func FindMissedCounts(zeros []gauge.Length, pitch gauge.Length, sd float64, step gauge.Length, rate Rate) (Finding, error) {
	if err := rate.check(); err != nil {
		return Finding{}, err
	}
	s, err := scatter(sd, step)
	if err != nil {
		return Finding{}, err
	}
	if len(zeros) < 2 {
		return Finding{}, gauge.Refused("signs.few_returns")
	}
	s *= math.Sqrt2
	limit := -uncertainty.NormalQuantile(float64(rate) / 2 / float64(len(zeros)-1))
	if float64(pitch) < 2*limit*s {
		return Finding{}, gauge.Refused("signs.pitch", gauge.Shown("pitch", pitch.Text(gauge.Micrometre, 2), gauge.Micrometre), micro("least", 2*limit*s/1e6))
	}
	worst, at, count := 0.0, 0, 0.0
	for i := range zeros[1:] {
		jump := float64(zeros[i+1] - zeros[i])
		pitches := math.Round(jump / float64(pitch))
		if pitches == 0 || math.Abs(jump-pitches*float64(pitch)) > limit*s {
			continue
		}
		if z := math.Abs(jump) / s; z > worst {
			worst, at, count = z, i+1, pitches
		}
	}
	return found(MissedCounts, worst, limit, "signs.missed", gauge.Count("return", at+1), gauge.Shown("pitches", fmt.Sprintf("%+.0f", count), gauge.UnitUnknown)), nil
}

// FindPreset looks for a preset that was left on: the returns to zero are off by
// a typed preset, either way. sd is the usual standard deviation of a return in metres,
// step that of the display, allowed how far off zero a healthy gauge may be. When
// they are off and no preset fits, the finding is ZeroOff. The statistic is how far
// the mean is off beyond allowed, over its standard deviation.
func FindPreset(zeros, presets []gauge.Length, allowed gauge.Length, sd float64, step gauge.Length, rate Rate) (Finding, error) {
	if err := rate.check(); err != nil {
		return Finding{}, err
	}
	s, err := scatter(sd, step)
	if err != nil {
		return Finding{}, err
	}
	switch {
	case len(zeros) == 0:
		return Finding{}, gauge.Refused("signs.no_return")
	case allowed < 0:
		return Finding{}, errors.New("the allowed offset must not be negative")
	}
	mean, _ := meanAndSD(zeros)
	s /= math.Sqrt(float64(len(zeros)))
	limit := -uncertainty.NormalQuantile(float64(rate) / 2)
	f := found(ZeroOff, (math.Abs(mean)-float64(allowed))/s, limit, "signs.zero_off", micro("by", mean/1e6))
	if f.Kind == "" {
		return f, nil
	}
	for _, p := range presets {
		if p != 0 && math.Abs(math.Abs(mean)-math.Abs(float64(p))) <= float64(allowed)+limit*s {
			f.Kind = PresetLeftOn
			f.Detail = gauge.Say("signs.preset", micro("by", mean/1e6), gauge.Shown("preset", p.Text(gauge.Micrometre, 2), gauge.Micrometre))
			break
		}
	}
	return f, nil
}
