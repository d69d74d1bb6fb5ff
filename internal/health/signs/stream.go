package signs

import (
	"errors"
	"math"
	"time"

	"gauged/internal/gauge"
)

// FindLowBattery looks for a battery that runs low: more readings than usual carry the
// gauge's flag for it. The statistic is their number.
func FindLowBattery(statuses []gauge.Status, usual Share, rate Rate) (Finding, error) {
	if err := rate.check(); err != nil {
		return Finding{}, err
	}
	p, err := usual.rate()
	if err != nil {
		return Finding{}, err
	}
	n, flagged := len(statuses), 0
	for _, s := range statuses {
		if s == gauge.StatusLowBattery {
			flagged++
		}
	}
	limit := least(n, p, rate)
	if limit >= n {
		return Finding{}, gauge.Refused("signs.few_flags", gauge.Count("readings", n))
	}
	return found(LowBattery, float64(flagged), float64(limit), "signs.battery", gauge.Count("readings", flagged), gauge.Count("of", n)), nil
}

// FindLostFrames looks for a stream that loses frames. times are those of its
// readings in order, rejects the number of its rejected frames in the same time,
// interval the usual time between frames, usual how many of all frames a
// healthy stream loses or has rejected. A frame is missing for each interval by which the
// stream falls behind, to the nearest, unless the next frames make up for it; the statistic is the number of those missing and not
// accounted for by a reject, and of the rejects.
func FindLostFrames(times []time.Time, rejects int, interval time.Duration, usual Share, rate Rate) (Finding, error) {
	if err := rate.check(); err != nil {
		return Finding{}, err
	}
	p, err := usual.rate()
	if err != nil {
		return Finding{}, err
	}
	switch {
	case len(times) < 2:
		return Finding{}, gauge.Refused("signs.few_frames")
	case interval <= 0:
		return Finding{}, errors.New("the usual interval must be greater than 0")
	case rejects < 0:
		return Finding{}, errors.New("the number of rejects must not be negative")
	}
	for i := range times[1:] {
		if times[i+1].Before(times[i]) {
			return Finding{}, gauge.Refused("signs.earlier", gauge.Count("reading", i+2))
		}
	}
	missing := missingFrames(times, interval)
	lost := max(missing, rejects) // a rejected frame leaves a gap as well
	n := len(times) + lost
	limit := least(n, p, rate)
	if limit >= n {
		return Finding{}, gauge.Refused("signs.few_in_stream", gauge.Count("frames", n))
	}
	return found(LostFrames, float64(lost), float64(limit), "signs.frames", gauge.Count("frames", lost), gauge.Count("of", n)), nil
}

// heldUp is within how many frames a busy host makes up for what it has held up: a second
// of a fast gauge.
const heldUp = 50

// missingFrames counts the intervals by which a stream falls behind for good. How late a
// frame is, with those that follow at once, the earliest of the next ones tells.
func missingFrames(times []time.Time, interval time.Duration) int {
	behind := func(i int) time.Duration { return times[i].Sub(times[0]) - time.Duration(i)*interval }
	missing, before := 0, time.Duration(0)
	for i := range times {
		least := behind(i)
		for k := i + 1; k < min(i+heldUp, len(times)); k++ {
			least = min(least, behind(k))
		}
		if i > 0 {
			missing += max(0, int(math.Round(float64(least-before)/float64(interval))))
		}
		before = least
	}
	return missing
}
