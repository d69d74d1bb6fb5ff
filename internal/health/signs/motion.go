package signs

import (
	"errors"
	"fmt"
	"math"

	"gauged/internal/gauge"
)

// UsuallyEqual returns how often a reading equals the one before it in healthy
// moving measurements of a gauge. Equal readings come together where the
// movement turns round, so it is the greater share of two: of all readings, and of
// those after one that was equal itself.
func UsuallyEqual(measurements ...[]gauge.Length) Share {
	var all, after Share
	for _, values := range measurements {
		before := false
		for i := range len(values) - 1 {
			equal := values[i+1] == values[i]
			all.Of++
			if before {
				after.Of++
			}
			if equal {
				all.Count++
				if before {
					after.Count++
				}
			}
			before = equal
		}
	}
	if after.Count*all.Of > all.Count*after.Of {
		return after
	}
	return all
}

// FindStuck looks for a spindle that stuck while the part moved. values are the
// readings of one moving measurement, equal is how often a reading of this gauge
// equals the one before it in healthy ones: see UsuallyEqual. The statistic is the
// longest run of readings equal to the one before; the limit follows from the
// exact distribution of the longest run (Feller, "An Introduction to
// Probability Theory", volume 1, XIII.7, from memory).
func FindStuck(values []gauge.Length, equal Share, rate Rate) (Finding, error) {
	if err := rate.check(); err != nil {
		return Finding{}, err
	}
	q, err := equal.rate()
	if err != nil {
		return Finding{}, err
	}
	n := len(values) - 1
	if n < 2 {
		return Finding{}, gauge.Refused("signs.few_moving")
	}
	longest, run, last := 0, 0, 0
	for i := range n {
		if values[i+1] != values[i] {
			run = 0
			continue
		}
		if run++; run > longest {
			longest, last = run, i+1
		}
	}
	limit := 0
	for limit < n && runAtLeast(limit+1, n, q) > float64(rate) {
		limit++
	}
	if limit == n {
		return Finding{}, gauge.Refused("signs.few_to_be_stuck", gauge.Count("readings", n+1))
	}
	return found(Stuck, float64(longest), float64(limit), "signs.stuck", gauge.Count("readings", longest+1), gauge.Count("last", last+1), gauge.Count("of", n+1)), nil
}

// runAtLeast is the probability that n trials have a run of at least r successes.
func runAtLeast(r, n int, q float64) float64 {
	without := make([]float64, n+1) // probability that so many trials have no such run
	power := math.Pow(q, float64(r))
	for i := range without {
		switch {
		case i < r:
			without[i] = 1
		case i == r:
			without[i] = 1 - power
		default:
			without[i] = without[i-1] - (1-q)*power*without[i-r-1]
		}
	}
	return 1 - without[n]
}

// Stroke is a movement whose direction is known: the gauge showed From, then To,
// and should have shown more when Up.
type Stroke struct {
	From, To gauge.Length
	Up       bool
}

// FindReversed looks for a gauge whose direction is reversed. Strokes shorter
// than shortest are left out; wrong is how often a healthy gauge goes against its
// direction, from mistakes in handling. The statistic is the number of strokes
// that went the wrong way.
func FindReversed(strokes []Stroke, shortest gauge.Length, wrong Share, rate Rate) (Finding, error) {
	if err := rate.check(); err != nil {
		return Finding{}, err
	}
	p, err := wrong.rate()
	if err != nil {
		return Finding{}, err
	}
	n, against := 0, 0
	for _, s := range strokes {
		if way := s.To - s.From; way.Abs() >= shortest && way != 0 {
			n++
			if (way > 0) != s.Up {
				against++
			}
		}
	}
	limit := least(n, p, rate)
	if limit >= n {
		return Finding{}, gauge.Refused("signs.few_strokes", gauge.Count("strokes", n))
	}
	return found(Reversed, float64(against), float64(limit), "signs.reversed", gauge.Count("strokes", against), gauge.Count("of", n)), nil
}

// FindHysteresis looks for a gauge that shows more when a value is approached from
// one side than from the other. up and down are readings of the same values,
// in pairs; allowed is the difference that a healthy gauge may have, step that
// of the display. The statistic is the mean difference beyond allowed over its
// standard deviation (paired t test).
func FindHysteresis(up, down []gauge.Length, allowed, step gauge.Length, rate Rate) (Finding, error) {
	if err := rate.check(); err != nil {
		return Finding{}, err
	}
	switch {
	case len(up) != len(down):
		return Finding{}, fmt.Errorf("%d readings up and %d down are no pairs", len(up), len(down))
	case len(up) < 3:
		return Finding{}, gauge.Refused("signs.few_pairs")
	case allowed < 0 || step <= 0:
		return Finding{}, errors.New("the allowed difference must not be negative, and the step of the display must be greater than 0")
	}
	differences := make([]gauge.Length, len(up))
	for i := range up {
		differences[i] = up[i] - down[i]
	}
	mean, sd := meanAndSD(differences)
	sd = max(sd, float64(step)/math.Sqrt(6)) // two displays
	t := (math.Abs(mean) - float64(allowed)) / (sd / math.Sqrt(float64(len(up))))
	return found(Hysteresis, t, twoSidedT(rate, len(up)-1), "signs.hysteresis", micro("by", mean/1e6), micro("allowed", float64(allowed)/1e6)), nil
}
