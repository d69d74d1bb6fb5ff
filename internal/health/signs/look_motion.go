package signs

import (
	"math"
	"slices"

	"gauged/internal/gauge"
)

// restSteps is within how many steps of the display a spindle rests.
const restSteps = 4

// moving leaves out the rests at both ends. Of a turn in which nothing at all moved, it
// is everything.
func (m Movement) moving(step gauge.Length) []gauge.Length {
	v := m.Values
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
	case !m.Stroke && slices.Min(v) == slices.Max(v):
		return v
	}
	return nil
}

// enoughMoving is how many readings of healthy movements say how often two are equal.
const enoughMoving = 100

// stuck judges the movements of each job by those before it in which nothing was found, and
// says what the newest shows.
func (l *looker) stuck() {
	if l.Gauge.Mode != gauge.ModeStream {
		return
	}
	f, err := Finding{}, gauge.Refused("signs.no_movement")
	var healthy [][]gauge.Length
	for _, j := range l.Jobs {
		var moving [][]gauge.Length
		for _, m := range j.Movements {
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
	l.says(Stuck, f, err)
}

// stuckIn looks at the movements of one job.
func (l *looker) stuckIn(moving, healthy [][]gauge.Length) (Finding, error) {
	known := len(slices.Concat(healthy...))
	if known < enoughMoving {
		return Finding{}, gauge.Refused("signs.little_movement")
	}
	usual := UsuallyEqual(healthy...)
	// So many more could have been equal (upper end of a 95 % interval of a rare count).
	usual.Count = min(usual.Count+int(math.Ceil(3+1.645*math.Sqrt(float64(usual.Count)))), usual.Of)
	return FindStuck(slices.Concat(moving...), usual, signRate)
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
	l.says(Reversed, f, err)
}

func (l *looker) reversedChecks() (Finding, error) {
	var strokes []Stroke
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
			strokes = append(strokes, Stroke{From: low.Mean, To: high.Mean, Up: true})
		}
	}
	if len(strokes) == 0 {
		return Finding{}, gauge.Refused("signs.no_direction")
	}
	return FindReversed(strokes[max(len(strokes)-newStrokes, 0):], restSteps*l.step(), usualShare, signRate/2)
}

// reversedStrokes looks at the first stroke of each capture: of the newest ones
// against the way that was usual before.
func (l *looker) reversedStrokes() (Finding, error) {
	f, err := Finding{}, gauge.Refused("signs.few_captured")
	byKind := map[string][]Movement{}
	for _, j := range l.Jobs {
		seen := map[string]bool{}
		for _, m := range j.Movements {
			if m.Stroke && !seen[m.Measurement] {
				seen[m.Measurement] = true
				key := j.Procedure + " " + m.Measurement
				byKind[key] = append(byKind[key], m)
			}
		}
	}
	for _, strokes := range byKind {
		if len(strokes) < oldStrokes+newStrokes {
			continue
		}
		g, gErr := reversedSince(strokes, signRate/2/Rate(len(byKind)))
		if err != nil || g.Kind != "" {
			f, err = g, gErr
		}
	}
	return f, err
}

func reversedSince(strokes []Movement, rate Rate) (Finding, error) {
	before, now := strokes[:oldStrokes], strokes[len(strokes)-newStrokes:]
	up := 0
	for _, m := range before {
		if m.To > m.From {
			up++
		}
	}
	wrong := Share{Count: min(up, len(before)-up), Of: len(before)}
	var judged []Stroke
	for _, m := range now {
		judged = append(judged, Stroke{From: m.From, To: m.To, Up: 2*up > len(before)})
	}
	return FindReversed(judged, 0, wrong, rate)
}
