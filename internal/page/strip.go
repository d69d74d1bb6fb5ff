package page

import (
	"slices"
	"strconv"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
)

// strip draws the repeats of a measurement with the band in which they must agree.
type strip struct {
	Low, High float64 // ends of the band
	Points    []stripPoint
}

// stripPoint is a reading, or several that lie on each other.
type stripPoint struct {
	X    float64
	Text string // their numbers
	Out  bool   // discarded
}

// edge is how far from the ends of the line the outermost points stand, and twice
// that on the right, where a number may follow.
const edge = 14

// apart is how far points are from each other at least; nearer ones are one.
const apart = 26

// newStrip draws repeats; nil below two readings or without limits of agreement.
func newStrip(m evaluate.Measurement) *strip {
	if m.Agree == nil || len(m.Readings) < 2 {
		return nil
	}
	var counting []gauge.Length
	for _, r := range m.Readings {
		if r.Discarded == "" {
			counting = append(counting, r.Value)
		}
	}
	if len(counting) == 0 {
		return nil
	}
	// The band lies around the middle of those that count.
	middle := (slices.Min(counting) + slices.Max(counting)) / 2
	low, high := middle-*m.Agree/2, middle+*m.Agree/2
	s := spanOf(append(counting, low, high))
	c := &strip{Low: s.x(low), High: s.x(high)}
	for i, r := range m.Readings {
		// One that slipped may be far off: it stands at the edge.
		c.put(min(max(s.x(r.Value), edge), scaleWidth-2*edge), strconv.Itoa(i+1), r.Discarded != "")
	}
	return c
}

// put sets a point, or adds its number to one that lies there.
func (s *strip) put(x float64, number string, out bool) {
	for i, p := range s.Points {
		if p.Out == out && max(p.X-x, x-p.X) < apart {
			s.Points[i].Text += ", " + number
			return
		}
	}
	s.Points = append(s.Points, stripPoint{X: x, Text: number, Out: out})
}

// Y is where a point lies: the discarded ones stand below the others.
func (p stripPoint) Y() int {
	if p.Out {
		return 86
	}
	return 44
}

// Discards reports whether a discarded reading is drawn.
func (s *strip) Discards() bool {
	return slices.ContainsFunc(s.Points, func(p stripPoint) bool { return p.Out })
}

// Wide is how wide the band is.
func (s *strip) Wide() float64 { return s.High - s.Low }
