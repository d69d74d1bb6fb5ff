package station

import (
	"context"
	"errors"
	"math"
	"slices"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health/signs"
)

// movement is what the stream of the gauge showed between two readings of a capture.
type movement struct {
	measurement string
	from, to    gauge.Length
	stroke      bool // from stop to stop, else a turn
	values      []gauge.Length
}

// streamAtMost bounds what is read of one movement.
const streamAtMost = 2000

// movements reads the stream of a gauge during the captures of a job.
func (s *Station) movements(ctx context.Context, gaugeID string, j foldedJob) ([]movement, error) {
	var all []movement
	for _, m := range j.spans(gaugeID) {
		count := min(m.last-m.first+1, streamAtMost) // of all that was stored meanwhile; others' are among it
		facts, err := s.o.Store.Readings(ctx, gaugeID, m.first-1, int(count))
		if err != nil {
			return nil, err
		}
		for _, f := range facts {
			if f.Seq <= m.last {
				m.values = append(m.values, f.Reading.Value)
			}
		}
		all = append(all, m.movement)
	}
	return all, nil
}

// span is a movement that is still to be read, by the numbers of its ends.
type span struct {
	movement
	first, last uint64
}

// spans are the strokes and turns that a job took from a gauge.
func (j foldedJob) spans(gaugeID string) []span {
	var all []span
	turns := map[string]taken{} // the first reading of a turn that is not over, by measurement
	begun := map[string]uint64{}
	for _, r := range j.taken {
		step, _, ok := j.Procedure.Step(r.Measurement)
		if !ok || step.Moving == nil || r.Gauge != gaugeID || j.named[r.Seq].reading == nil {
			continue
		}
		now := j.named[r.Seq]
		switch step.Moving.Kind {
		case evaluate.MovingEndStops:
			if now.from != nil {
				all = append(all, span{movement{measurement: r.Measurement, from: now.from.Value, to: now.reading.Value, stroke: true}, r.From, r.Seq})
			}
		case evaluate.MovingTurn: // its last reading comes when it was watched for long enough
			first, open := turns[r.Measurement]
			if !open {
				turns[r.Measurement], begun[r.Measurement] = now, r.Seq
				continue
			}
			if now.reading.Time.Sub(first.reading.Time) >= turnLasts {
				all = append(all, span{movement{measurement: r.Measurement, from: first.reading.Value, to: now.reading.Value}, begun[r.Measurement], r.Seq})
				delete(turns, r.Measurement)
			}
		}
	}
	return all
}

// restSteps is within how many steps of the display a spindle rests.
const restSteps = 4

// moving leaves out the rests at both ends. Of a turn in which nothing at all moved, it
// is everything.
func (m movement) moving(step gauge.Length) []gauge.Length {
	v := m.values
	if len(v) == 0 {
		return nil
	}
	first, last := v[0], v[len(v)-1]
	begin := slices.IndexFunc(v, func(x gauge.Length) bool { return (x - first).Abs() > restSteps*step })
	end := len(v)
	for end > 0 && (v[end-1]-last).Abs() <= restSteps*step {
		end--
	}
	switch {
	case begin >= 0 && begin < end:
		return v[begin:end]
	case !m.stroke && slices.Min(v) == slices.Max(v):
		return v
	}
	return nil
}

// enoughMoving is how many readings of healthy movements say how often two are equal.
const enoughMoving = 100

// stuck judges the movements of each job by those before it in which nothing was found, and
// says what the newest shows.
func (l *looker) stuck() {
	if l.gauge.Mode != gauge.ModeStream {
		return
	}
	f, err := signs.Finding{}, errors.New("no turn and no stroke was captured from it")
	var healthy [][]gauge.Length
	for _, j := range l.jobs {
		var moving [][]gauge.Length
		for _, m := range j.movements {
			if values := m.moving(l.step()); len(values) > 1 {
				moving = append(moving, values)
			}
		}
		if len(moving) == 0 {
			continue
		}
		f, err = l.stuckIn(moving, healthy)
		if f.Kind == "" {
			healthy = append(healthy, moving...)
		}
	}
	l.says(signs.Stuck, f, err)
}

// stuckIn looks at the movements of one job.
func (l *looker) stuckIn(moving, healthy [][]gauge.Length) (signs.Finding, error) {
	known := len(slices.Concat(healthy...))
	if known < enoughMoving {
		return signs.Finding{}, errors.New("too little is known of how it moves: its next jobs with a turn or with strokes will tell")
	}
	usual := signs.UsuallyEqual(healthy...)
	// So many more could have been equal (upper end of a 95 % interval of a rare count).
	usual.Count = min(usual.Count+int(math.Ceil(3+1.645*math.Sqrt(float64(usual.Count)))), usual.Of)
	return signs.FindStuck(slices.Concat(moving...), usual, signRate)
}

const (
	// newStrokes is how many of the newest captures, or checks, are judged by
	// their direction.
	newStrokes = 3
	// oldStrokes is how many earlier captures say which way is usual.
	oldStrokes = 10
)

// reversed looks at the direction of checks at two masters, and at that of the first
// strokes of captures.
func (l *looker) reversed() {
	f, err := l.reversedChecks()
	if f.Kind == "" {
		g, gErr := l.reversedStrokes()
		if gErr == nil {
			f, err = g, nil
		}
	}
	l.says(signs.Reversed, f, err)
}

func (l *looker) reversedChecks() (signs.Finding, error) {
	var strokes []signs.Stroke
	for _, c := range l.standing() {
		if len(c.result.Points) == 0 {
			continue
		}
		low, high := c.result.Points[0], c.result.Points[0]
		for _, p := range c.result.Points {
			if p.Reference < low.Reference {
				low = p
			}
			if p.Reference > high.Reference {
				high = p
			}
		}
		if low.Reference < high.Reference {
			strokes = append(strokes, signs.Stroke{From: low.Mean, To: high.Mean, Up: true})
		}
	}
	if len(strokes) == 0 {
		return signs.Finding{}, errors.New("it was not checked at two masters, and too few strokes were captured from it")
	}
	return signs.FindReversed(strokes[max(len(strokes)-newStrokes, 0):], restSteps*l.step(), usualShare, signRate/2)
}

// reversedStrokes looks at the first stroke of each capture: of the newest ones
// against the way that was usual before.
func (l *looker) reversedStrokes() (signs.Finding, error) {
	f, err := signs.Finding{}, errors.New("too few strokes were captured from it")
	byKind := map[string][]movement{}
	for _, j := range l.jobs {
		seen := map[string]bool{}
		for _, m := range j.movements {
			if m.stroke && !seen[m.measurement] {
				seen[m.measurement] = true
				key := j.procedure.ID + " " + m.measurement
				byKind[key] = append(byKind[key], m)
			}
		}
	}
	for _, strokes := range byKind {
		if len(strokes) < oldStrokes+newStrokes {
			continue
		}
		g, gErr := reversedSince(strokes, signRate/2/signs.Rate(len(byKind)))
		if err != nil || g.Kind != "" {
			f, err = g, gErr
		}
	}
	return f, err
}

func reversedSince(strokes []movement, rate signs.Rate) (signs.Finding, error) {
	before, now := strokes[:oldStrokes], strokes[len(strokes)-newStrokes:]
	up := 0
	for _, m := range before {
		if m.to > m.from {
			up++
		}
	}
	wrong := signs.Share{Count: min(up, len(before)-up), Of: len(before)}
	var judged []signs.Stroke
	for _, m := range now {
		judged = append(judged, signs.Stroke{From: m.from, To: m.to, Up: 2*up > len(before)})
	}
	return signs.FindReversed(judged, 0, wrong, rate)
}
