package signs

import (
	"math"
	"math/rand/v2"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

const (
	micron       = gauge.Length(1e6)
	signReadings = 1000
	signJobs     = 20
)

// failing is a simulated indicator with a history: what it does wrong, if anything, and
// since when. It shows micrometres and scatters by one. Lengths are in micrometres.
type failing struct {
	*rand.Rand
	stuck      int     // frames for which the spindle sticks in the newest turn
	missed     float64 // length lost between the zero returns, half way
	zero       float64 // off zero in the newest return
	reversed   bool    // in the newest checks
	strokes    bool    // reversed in the newest captures, and not checked
	wrongUnit  bool    // in the newest job
	coarse     bool
	battery    float64 // share of flagged readings
	lost       float64 // share of lost frames
	noise      float64 // of its repeats, besides the usual
	hysteresis float64 // between up and down
}

// shows is what it shows at a place.
func (g failing) shows(at float64) gauge.Length {
	v := at + g.NormFloat64()
	if g.coarse {
		return gauge.Length(math.Round(v/5)) * 5 * micron
	}
	return gauge.Length(math.Round(v)) * micron
}

var (
	signBegan = time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	plausible = map[string]Range{"height": {2000 * micron, 3000 * micron}}
)

// looker is the history of the gauge as a station looks at it: twenty jobs, each with a
// height, a turn and three strokes, a check at two masters from both sides every other
// job, a zero return after each, and the last 100 seconds of its stream.
func (g failing) looker() *looker {
	step, limit := micron, 4*micron
	l := &looker{History: History{
		Gauge: Gauge{
			Mode: gauge.ModeStream, Fresh: 3 * time.Second, Pitch: 20 * micron, Presets: []gauge.Length{50 * micron},
			Ability: gauge.Ability{Unit: gauge.Millimetre, Resolution: &step, Error: &limit, Repeats: &gauge.Pooled{Deviation: micron, Freedom: 30}},
		},
	}}
	for i := range signJobs {
		l.Jobs = append(l.Jobs, g.job(i))
		if i%2 == 1 {
			l.Checks = append(l.Checks, g.check(l.Gauge.Ability, i))
		}
		l.Checks = append(l.Checks, g.zeroReturn(l.Gauge.Ability, i))
	}
	l.Readings, l.Rejects = g.stream()
	return l
}

func (g failing) job(i int) Job {
	newest := i == signJobs-1
	height := 2500 + 30*g.NormFloat64()
	if g.wrongUnit && newest {
		height /= 25.4
	}
	heights := map[string][]gauge.Length{"height": {g.shows(height), g.shows(height)}}
	m := Job{Procedure: "simulated", Plausible: plausible, Values: heights, Own: heights}
	m.Movements = append(m.Movements, g.turn(newest))
	down := g.Float64() < 0.01 // the technician begins at the other stop
	if g.strokes && i >= signJobs-newStrokes {
		down = !down
	}
	for n := range 3 {
		m.Movements = append(m.Movements, g.stroke(down != (n == 1)))
	}
	return m
}

// turn is watched for ten seconds at 25 frames a second; the part turns for four of them.
func (g failing) turn(newest bool) Movement {
	m := Movement{Measurement: "runout"}
	phase := 25 + g.IntN(100)
	sticks := phase + 20 + g.IntN(20)
	for i := range 251 {
		at := 0.0
		if i >= phase && i < phase+100 {
			at = 100 * (1 - math.Cos(2*math.Pi*float64(i-phase)/100))
		}
		v := g.shows(at)
		if newest && i > sticks && i < sticks+g.stuck {
			v = m.Values[i-1]
		}
		m.Values = append(m.Values, v)
	}
	m.From, m.To = m.Values[0], m.Values[len(m.Values)-1]
	return m
}

// stroke goes 200 um between two rests.
func (g failing) stroke(down bool) Movement {
	m := Movement{Measurement: "play", Stroke: true}
	for i := range 30 {
		at := 200 * min(max(float64(i-10)/10, 0), 1)
		if down {
			at = 200 - at
		}
		m.Values = append(m.Values, g.shows(at))
	}
	m.From, m.To = m.Values[0], m.Values[len(m.Values)-1]
	return m
}

func (g failing) record(a gauge.Ability, i int, points ...check.Point) *check.Record {
	c := &check.Record{Time: signBegan.Add(time.Duration(i) * time.Hour), Result: check.Evaluate(check.Input{Points: points, Ability: a})}
	for _, p := range points {
		c.Points = append(c.Points, check.StoredPoint{Point: p})
	}
	return c
}

// check is at zero and at a block, up and down, three readings at each.
func (g failing) check(a gauge.Ability, i int) *check.Record {
	var points []check.Point
	for _, falling := range []bool{false, true} {
		for _, m := range []check.Master{{ID: "zero"}, {ID: "block", Value: 2000 * micron}} {
			p := check.Point{Master: m, Falling: falling}
			way := g.hysteresis / 2
			if falling {
				way = -way
			}
			at := m.Value.Metres()*1e6 + way
			if g.reversed && i >= signJobs-5 {
				at = -at
			}
			for range 3 {
				p.Readings = append(p.Readings, g.shows(at+g.noise*g.NormFloat64()))
			}
			if m.ID == check.ZeroMaster {
				continue // the zero returns are alone there
			}
			points = append(points, p)
		}
	}
	low := check.Point{Master: check.Master{ID: "low", Value: 500 * micron}, Readings: []gauge.Length{g.shows(500)}}
	if g.reversed && i >= signJobs-5 {
		low.Readings[0] = -low.Readings[0]
	}
	if g.strokes {
		points = points[1:] // one point tells no direction
		return g.record(a, i, points...)
	}
	return g.record(a, i, append(points, low)...)
}

// zeroReturn is one reading at zero, within what the hand and the faces add.
func (g failing) zeroReturn(a gauge.Ability, i int) *check.Record {
	at := 0.0
	if i >= signJobs-signZeros/2 {
		at += g.missed
	}
	if i == signJobs-1 {
		at += g.zero
	}
	return g.record(a, i, check.Point{Master: check.Master{ID: check.ZeroMaster}, Readings: []gauge.Length{g.shows(at)}})
}

// stream is 100 seconds at ten frames a second, with times that jitter by 10 ms: the shaft
// rests, and is pushed from stop to stop now and then. One frame in 2000 is rejected, one
// reading in 2000 flagged. In its midst the gauge was unplugged for an hour.
func (g failing) stream() (readings []*gauge.Reading, rejects int) {
	at, to := 0.0, 0.0
	began := signBegan
	for i := range signReadings {
		if i%20 == 0 {
			to = 300 * g.Float64()
		}
		at += min(max(to-at, -30), 30)
		if i == signReadings/2 {
			began = began.Add(time.Hour)
		}
		switch {
		case g.Float64() < g.lost:
			continue
		case g.Float64() < 0.0005:
			rejects++
			continue
		}
		status := gauge.StatusOK
		if g.Float64() < 0.0005+g.battery {
			status = gauge.StatusLowBattery
		}
		when := began.Add(time.Duration(i)*100*time.Millisecond + time.Duration(g.Float64()*1e7))
		readings = append(readings, &gauge.Reading{Gauge: "simulated", Time: when, Value: g.shows(at), Status: status})
	}
	return readings, rejects
}

// signCase is a fault that the station is to see.
type signCase struct {
	kind  Kind
	from  string
	fault string
	g     failing
}

var signCases = []signCase{
	{Stuck, "the turns of 20 jobs, 25 frames a second, 200 um", "sticks for half a second in the last", failing{stuck: 13}},
	{MissedCounts, "10 zero returns, pitch 20 um", "one pitch is lost", failing{missed: -20}},
	{LowBattery, "the last 1000 readings", "2 % are flagged", failing{battery: 0.02}},
	{LostResolution, "the last 1000 readings, a shaft pushed 50 times over 300 um at most", "the last digit is 0 or 5", failing{coarse: true}},
	{PresetLeftOn, "the last zero return, 4 um are allowed", "a preset of 50 um", failing{zero: 50}},
	{ZeroOff, "the last zero return, 4 um are allowed", "off by 10 um", failing{zero: 10}},
	{Reversed, "the last 3 checks at two masters", "counts backwards in them", failing{reversed: true}},
	{Reversed, "the first strokes of 20 jobs, 1 in 100 made the other way", "counts backwards in the last 3", failing{strokes: true}},
	{WrongUnit, "the last job, height of 2 to 3 mm", "inches taken for millimetres", failing{wrongUnit: true}},
	{Noise, "3 repeats of the last check", "scatters by 10 um", failing{noise: 10}},
	{Hysteresis, "10 checks from both sides, 2 um are allowed", "4 um between up and down", failing{hysteresis: 4}},
	{LostFrames, "the last 1000 frames", "2 % are lost", failing{lost: 0.02}},
}

// seen are the kinds that a look finds.
func seen(l *looker) map[Kind]bool {
	all := map[Kind]bool{}
	for _, s := range l.look() {
		if s.Found {
			all[s.Kind] = true
		}
	}
	return all
}
