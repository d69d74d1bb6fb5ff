package signs

import (
	"math"
	"math/rand/v2"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

const (
	um     = gauge.Length(1e6)
	step   = um // of the display of all simulated gauges
	rate   = Rate(0.01)
	metres = 1e-6 // one micrometre
)

// gaugeSim is a simulated gauge: what it does wrong, if anything.
type gaugeSim struct {
	*rand.Rand
	stuck      int          // after this reading of a turn its spindle sticks
	stuckFor   int          // for so many readings
	missed     int          // pitches that it lost half way
	flagged    float64      // share of readings with the flag of the battery
	coarse     bool         // its last digit is 0 or 5
	offset     gauge.Length // of its zero
	reversed   bool
	factor     float64 // of its unit; 0 is 1
	sd         float64 // of its repeats, in micrometres
	hysteresis float64 // half the difference of up and down, in micrometres
	lost       float64 // share of its frames that are lost
}

// shown rounds micrometres to the display.
func (g gaugeSim) shown(v float64) gauge.Length {
	if g.coarse {
		return gauge.Length(math.Round(v/5)) * 5 * step
	}
	return gauge.Length(math.Round(v)) * step
}

func (g gaugeSim) noise() float64 { return g.NormFloat64() * g.sd }

// turn is a turn of a part with a run-out of 200 um, 100 readings.
func (g gaugeSim) turn() []gauge.Length {
	var all []gauge.Length
	phase := g.Float64() * 2 * math.Pi
	for i := range 100 {
		if g.stuckFor > 0 && i > g.stuck && i <= g.stuck+g.stuckFor {
			all = append(all, all[i-1])
			continue
		}
		all = append(all, g.shown(100*math.Sin(phase+2*math.Pi*float64(i)/100)+g.noise()))
	}
	return all
}

// zeros are returns to zero.
func (g gaugeSim) zeros(n int) []gauge.Length {
	var all []gauge.Length
	for i := range n {
		v := g.shown(g.noise()) + g.offset
		if i >= n/2 {
			v += gauge.Length(g.missed) * pitch
		}
		all = append(all, v)
	}
	return all
}

// usuallyEqual is how often a reading of a healthy turn equals the one before.
var usuallyEqual = func() Share {
	var turns [][]gauge.Length
	for seed := range uint64(50) {
		turns = append(turns, healthy(5000+seed).turn())
	}
	return UsuallyEqual(turns...)
}()

const pitch = 20 * um

func (g gaugeSim) statuses(n int) []gauge.Status {
	all := make([]gauge.Status, n)
	for i := range all {
		all[i] = gauge.StatusOK
		if g.Float64() < g.flagged {
			all[i] = gauge.StatusLowBattery
		}
	}
	return all
}

// parts are readings of different parts, spread over 100 um.
func (g gaugeSim) parts(n int) []gauge.Length {
	var all []gauge.Length
	for range n {
		all = append(all, g.shown(2500+100*g.Float64()+g.noise()))
	}
	return all
}

// strokes go 300 um or more; one in a hundred is made the wrong way.
func (g gaugeSim) strokes(n int) []Stroke {
	var all []Stroke
	for range n {
		way := 300 + 100*g.Float64()
		up := g.Float64() < 0.5
		if up == g.reversed {
			way = -way
		}
		if g.Float64() < 0.01 {
			way = -way
		}
		all = append(all, Stroke{From: g.shown(0), To: g.shown(way), Up: up})
	}
	return all
}

// against are readings of parts of 2 to 3 mm that vary by their tolerance.
func (g gaugeSim) against(n int) []Compared {
	var all []Compared
	for range n {
		nominal := 2000 + 1000*g.Float64()
		factor := g.factor
		if factor == 0 {
			factor = 1
		}
		all = append(all, Compared{Shown: g.shown((nominal + 20*g.NormFloat64()) * factor), Expected: gauge.Length(nominal * 1e6)})
	}
	return all
}

// ways are readings of the same values, from both sides.
func (g gaugeSim) ways(n int) (up, down []gauge.Length) {
	for range n {
		v := 100 * g.Float64()
		up = append(up, g.shown(v+g.hysteresis+g.noise()))
		down = append(down, g.shown(v-g.hysteresis+g.noise()))
	}
	return up, down
}

// stream is ten frames a second, whose times jitter by 10 ms; one frame in two hundred is rejected.
func (g gaugeSim) stream(n int) (times []time.Time, rejects int) {
	at := time.Date(2025, 1, 1, 8, 0, 0, 0, time.UTC)
	for i := range n {
		switch {
		case g.Float64() < g.lost:
		case g.Float64() < 0.005:
			rejects++
		default:
			times = append(times, at.Add(time.Duration(i)*interval+time.Duration(g.Float64()*1e7)))
		}
	}
	return times, rejects
}

const interval = 100 * time.Millisecond

// signatureCase is a detector with a fault that it is to find.
type signatureCase struct {
	kind    Kind
	readers string // what it is given
	fault   string
	faulty  gaugeSim // without its generator
	find    func(g gaugeSim) (Finding, error)
}

var cases = []signatureCase{
	{
		Stuck, "a turn of 100 readings, 200 um", "sticks for 6 readings",
		gaugeSim{stuck: 40, stuckFor: 6, sd: 1},
		func(g gaugeSim) (Finding, error) { return FindStuck(g.turn(), usuallyEqual, rate) },
	},
	{
		MissedCounts, "10 returns to zero, pitch 20 um", "one pitch is lost",
		gaugeSim{missed: -1, sd: 1},
		func(g gaugeSim) (Finding, error) {
			return FindMissedCounts(g.zeros(10), pitch, 1*metres, step, rate)
		},
	},
	{
		LowBattery, "200 readings, 1 in 200 flagged usually", "5 % are flagged",
		gaugeSim{flagged: 0.05},
		func(g gaugeSim) (Finding, error) { return FindLowBattery(g.statuses(200), Share{10, 2000}, rate) },
	},
	{
		LostResolution, "20 readings of different parts", "the last digit is 0 or 5",
		gaugeSim{coarse: true, sd: 1},
		func(g gaugeSim) (Finding, error) { return FindLostResolution(g.parts(20), step, rate) },
	},
	{
		PresetLeftOn, "3 returns to zero", "a preset of 50 um",
		gaugeSim{offset: 50 * um, sd: 1},
		func(g gaugeSim) (Finding, error) {
			return FindPreset(g.zeros(3), []gauge.Length{25 * um, 50 * um}, 2*um, 1*metres, step, rate)
		},
	},
	{
		ZeroOff, "3 returns to zero", "off by 4 um, 2 um are allowed",
		gaugeSim{offset: 4 * um, sd: 1},
		func(g gaugeSim) (Finding, error) {
			return FindPreset(g.zeros(3), []gauge.Length{25 * um, 50 * um}, 2*um, 1*metres, step, rate)
		},
	},
	{
		Reversed, "8 strokes, 1 in 100 made wrongly", "counts backwards",
		gaugeSim{reversed: true},
		func(g gaugeSim) (Finding, error) {
			return FindReversed(g.strokes(8), 50*um, Share{10, 1000}, rate)
		},
	},
	{
		WrongUnit, "2 readings of parts of 2 to 3 mm, 20 um", "millimetres taken for inches",
		gaugeSim{factor: 25.4},
		func(g gaugeSim) (Finding, error) { return FindWrongUnit(g.against(2), 20*metres, rate) },
	},
	{
		Noise, "10 repeats, usual 1 um (30 degrees of freedom)", "3 um",
		gaugeSim{sd: 3},
		func(g gaugeSim) (Finding, error) {
			return FindNoise(g.zeros(10), uncertainty.Scatter{SD: 1 * metres, DoF: 30}, step, rate)
		},
	},
	{
		Hysteresis, "8 pairs, 1 um is allowed", "4 um between up and down",
		gaugeSim{hysteresis: 2, sd: 1},
		func(g gaugeSim) (Finding, error) {
			up, down := g.ways(8)
			return FindHysteresis(up, down, um, step, rate)
		},
	},
	{
		LostFrames, "a minute at 10 frames a second, 1 in 200 rejected", "2 % are lost",
		gaugeSim{lost: 0.02},
		func(g gaugeSim) (Finding, error) {
			times, rejects := g.stream(600)
			return FindLostFrames(times, rejects, interval, Share{50, 10000}, rate)
		},
	},
}

// healthy is a gauge of 1 um repeatability, 1 in 200 of whose readings is flagged.
func healthy(seed uint64) gaugeSim {
	return gaugeSim{Rand: rand.New(rand.NewPCG(seed, 10)), sd: 1, flagged: 0.005}
}

func (c signatureCase) sick(seed uint64) gaugeSim {
	g := c.faulty
	g.Rand = rand.New(rand.NewPCG(seed, 20))
	return g
}
