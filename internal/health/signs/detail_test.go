package signs

import (
	"math"
	"math/bits"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

func TestUsuallyEqual(t *testing.T) {
	for _, c := range []struct {
		values []gauge.Length
		want   Share
	}{
		{[]gauge.Length{1, 2, 2, 3, 3, 4}, Share{2, 5}},       // never two in a row
		{[]gauge.Length{1, 2, 3, 4, 4, 4, 5, 6}, Share{1, 2}}, // they come together
		{nil, Share{}},
	} {
		if got := UsuallyEqual(c.values); got != c.want {
			t.Errorf("%v: %v, want %v", c.values, got, c.want)
		}
	}
}

// TestRunAtLeast counts all outcomes of few trials.
func TestRunAtLeast(t *testing.T) {
	const n, q = 12, 0.3
	for r := 1; r <= n; r++ {
		want := 0.0
		for outcome := range uint(1 << n) {
			longest, run := 0, 0
			for i := range n {
				if outcome>>i&1 == 0 {
					run = 0
					continue
				}
				run++
				longest = max(longest, run)
			}
			if longest >= r {
				k := bits.OnesCount(outcome)
				want += math.Pow(q, float64(k)) * math.Pow(1-q, float64(n-k))
			}
		}
		if got := runAtLeast(r, n, q); math.Abs(got-want) > 1e-12 {
			t.Errorf("run of %d: %g, want %g", r, got, want)
		}
	}
}

// TestLeast: binomial with n = 4, p = 1/2: more than 3 has the probability 1/16,
// more than 2 has 5/16.
func TestLeast(t *testing.T) {
	for _, c := range []struct {
		rate Rate
		want int
	}{{0.06, 4}, {0.07, 3}, {0.31, 3}, {0.32, 2}} {
		if got := least(4, 0.5, c.rate); got != c.want {
			t.Errorf("rate %g: %d, want %d", float64(c.rate), got, c.want)
		}
	}
}

// TestDetails: what a finding says.
func TestDetails(t *testing.T) {
	for _, c := range []struct {
		find func() (Finding, error)
		kind Kind
		want string
	}{
		{func() (Finding, error) {
			return FindStuck([]gauge.Length{1, 2, 3, 3, 3, 3, 3, 4}, Share{0, 200}, rate)
		}, Stuck, "5 readings in a row did not change, up to reading 7 of 8"},
		{func() (Finding, error) {
			return FindMissedCounts([]gauge.Length{0, um, 41 * um, 40 * um}, pitch, metres, step, rate)
		}, MissedCounts, "return 3 is +2 pitches from the one before"},
		{func() (Finding, error) {
			return FindMissedCounts([]gauge.Length{0, um, 31 * um}, pitch, metres, step, rate)
		}, "", ""}, // a pitch and a half is no missed count
		{func() (Finding, error) {
			return FindPreset([]gauge.Length{-25 * um}, []gauge.Length{25 * um}, 2*um, metres, step, rate)
		}, PresetLeftOn, "the zero is off by -25.00 um, which is the preset of 25.00 um"},
		{func() (Finding, error) {
			return FindPreset([]gauge.Length{-35 * um}, []gauge.Length{25 * um}, 2*um, metres, step, rate)
		}, ZeroOff, "the zero is off by -35.00 um, which is no preset"},
		{func() (Finding, error) {
			return FindWrongUnit([]Compared{{um, 25 * um}, {2 * um, 50 * um}}, metres, rate)
		}, WrongUnit, "2 readings are about 25.4 times too small"},
		{func() (Finding, error) {
			return FindWrongUnit([]Compared{{2500 * um, 25 * um}, {5000 * um, 50 * um}}, metres, rate)
		}, WrongUnit, "2 readings are about 100 times too large"},
		{func() (Finding, error) {
			return FindWrongUnit([]Compared{{1500 * um, 25 * um}, {3000 * um, 50 * um}}, metres, rate)
		}, WrongUnit, "2 readings are about 60 times too large"},
		{func() (Finding, error) {
			return FindWrongUnit([]Compared{{um, 25 * um}, {50 * um, 50 * um}}, metres, rate)
		}, "", ""}, // one of them is right
		{func() (Finding, error) {
			return FindReversed([]Stroke{{0, -5, true}, {0, 5, false}, {0, 0, true}}, 2, Share{0, 100}, rate)
		}, Reversed, "2 of 2 strokes went against their direction"},
		{func() (Finding, error) {
			return FindNoise([]gauge.Length{0, 10 * um, 20 * um}, uncertainty.Scatter{SD: metres, DoF: 9}, step, rate)
		}, Noise, "repeats scatter by 10.00 um, 1.00 um is usual"},
	} {
		f, err := c.find()
		if err != nil || f.Kind != c.kind || told(f.Detail) != c.want {
			t.Errorf("got %+v, %v, want %q", f, err, c.want)
		}
		if (f.Statistic > f.Limit) != (f.Kind != "") {
			t.Errorf("finding %q with statistic %g and limit %g", f.Kind, f.Statistic, f.Limit)
		}
	}
}

// TestHeldUp: frames that come late and all at once are not lost; those that never come are.
func TestHeldUp(t *testing.T) {
	at := func(tenths ...float64) (times []time.Time) {
		for _, x := range tenths {
			times = append(times, time.Time{}.Add(time.Duration(x*float64(interval))))
		}
		return times
	}
	for _, c := range []struct {
		times []time.Time
		want  float64
	}{
		{at(0, 1, 2, 4.7, 4.71, 4.72, 6), 0}, // two are late with the third, and the next a little
		{at(0, 1, 2, 4.7, 4.71, 6), 1},
		{at(0, 1, 3, 5, 6), 2},
	} {
		if f, err := FindLostFrames(c.times, 0, interval, Share{0, 9}, rate); err != nil || f.Statistic != c.want {
			t.Errorf("%v: %g lost, %v, want %g", c.times, f.Statistic, err, c.want)
		}
	}
}

func TestRefused(t *testing.T) {
	few := []gauge.Length{0, um}
	for _, c := range []struct {
		find func() (Finding, error)
		want string
	}{
		{func() (Finding, error) { return FindStuck(nil, usuallyEqual, 0.5) }, "the false-alarm rate is 0.5: it must be over 0 and under 0.5"},
		{func() (Finding, error) { return FindStuck(few, usuallyEqual, rate) }, "a moving measurement needs at least three readings"},
		{func() (Finding, error) { return FindStuck(few, Share{}, rate) }, "the usual share is 0 of 0: it is needed from readings of the healthy gauge"},
		{func() (Finding, error) { return FindStuck(make([]gauge.Length, 4), Share{1, 2}, rate) }, "4 readings are too few: even if all were equal, that would be usual for this gauge"},
		{func() (Finding, error) { return FindReversed([]Stroke{{0, 5, true}}, 1, Share{5, 100}, rate) }, "1 stroke is too few: even if all went the wrong way, that could be handling"},
		{func() (Finding, error) { return FindHysteresis(few, nil, um, step, rate) }, "2 readings up and 0 down are no pairs"},
		{func() (Finding, error) { return FindHysteresis(few, few, um, step, rate) }, "hysteresis needs at least three pairs"},
		{func() (Finding, error) {
			return FindHysteresis(make([]gauge.Length, 3), make([]gauge.Length, 3), um, 0, rate)
		}, "the allowed difference must not be negative, and the step of the display must be greater than 0"},
		{func() (Finding, error) { return FindMissedCounts(few[:1], pitch, metres, step, rate) }, "missed counts need at least two returns to zero"},
		{func() (Finding, error) { return FindMissedCounts(few, um, metres, step, rate) }, "a pitch of 1.00 um cannot be told from the scatter of the zero: it must be at least 7.58 um"},
		{func() (Finding, error) { return FindMissedCounts(few, pitch, -1, step, rate) }, "the usual scatter must be a finite number that is not negative"},
		{func() (Finding, error) { return FindMissedCounts(few, pitch, metres, 0, rate) }, "the step of the display must be greater than 0"},
		{func() (Finding, error) { return FindPreset(nil, nil, um, metres, step, rate) }, "there is no return to zero"},
		{func() (Finding, error) { return FindPreset(few, nil, -1, metres, step, rate) }, "the allowed offset must not be negative"},
		{func() (Finding, error) { return FindNoise(few, uncertainty.Scatter{SD: 1, DoF: 9}, step, rate) }, "noise needs at least three repeats"},
		{func() (Finding, error) { return FindNoise(make([]gauge.Length, 3), uncertainty.Scatter{}, step, rate) }, "the usual scatter needs at least two degrees of freedom"},
		{func() (Finding, error) { return FindLostResolution(few, step, rate) }, "the readings spread over less than twenty steps of the display: their last digits say nothing"},
		{func() (Finding, error) { return FindLostResolution([]gauge.Length{0, 30 * um}, step, rate) }, "2 different readings are too few to judge the last digit"},
		{func() (Finding, error) { return FindLostResolution([]gauge.Length{0, 1}, step, rate) }, "reading 2 is no multiple of the resolution"},
		{func() (Finding, error) { return FindLostResolution(nil, step, rate) }, "no reading yet"},
		{func() (Finding, error) { return FindWrongUnit(nil, metres, rate) }, "no reading is far enough from zero, for its scatter, to judge the unit"},
		{func() (Finding, error) { return FindWrongUnit([]Compared{{um, 2 * um}}, metres, rate) }, "1 reading is too few, for the scatter, to judge the unit"},
		{func() (Finding, error) { return FindLowBattery(make([]gauge.Status, 1), Share{1, 9}, rate) }, "1 reading is too few: even if all were flagged, that would be usual for this gauge"},
		{func() (Finding, error) { return FindLostFrames(make([]time.Time, 1), 0, interval, Share{0, 9}, rate) }, "a stream needs at least two readings"},
		{func() (Finding, error) { return FindLostFrames(make([]time.Time, 2), 0, 0, Share{0, 9}, rate) }, "the usual interval must be greater than 0"},
		{func() (Finding, error) { return FindLostFrames(make([]time.Time, 2), -1, interval, Share{0, 9}, rate) }, "the number of rejects must not be negative"},
		{func() (Finding, error) {
			return FindLostFrames([]time.Time{{}, time.Time{}.Add(-1)}, 0, interval, Share{0, 9}, rate)
		}, "reading 2 is earlier than the one before"},
	} {
		if _, err := c.find(); err == nil || told(gauge.Told(err)) != c.want {
			t.Errorf("got %v, want %s", err, c.want)
		}
	}
}
