package scale

import (
	"slices"
	"strconv"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
)

// Strip draws the repeats of a measurement with the band in which they must agree.
type Strip struct {
	Low, High float64 // ends of the band
	Points    []Point
}

// Point is a reading, or several that lie on each other.
type Point struct {
	X    float64
	Text string // their numbers
	Out  bool   // discarded
}

// edge is how far from the ends of the line the outermost points stand, and twice
// that on the right, where a number may follow.
const edge = 14

// apart is how far points are from each other at least; nearer ones are one.
const apart = 26

// NewStrip draws repeats; nil below two readings or without limits of agreement.
func NewStrip(m evaluate.Measurement) *Strip {
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
	s := SpanOf(append(counting, low, high))
	c := &Strip{Low: s.X(low), High: s.X(high)}
	for i, r := range m.Readings {
		// One that slipped may be far off: it stands at the edge.
		c.put(min(max(s.X(r.Value), edge), width-2*edge), strconv.Itoa(i+1), r.Discarded != "")
	}
	return c
}

// put sets a point, or adds its number to one that lies there.
func (s *Strip) put(x float64, number string, out bool) {
	for i, p := range s.Points {
		if p.Out == out && max(p.X-x, x-p.X) < apart {
			s.Points[i].Text += ", " + number
			return
		}
	}
	s.Points = append(s.Points, Point{X: x, Text: number, Out: out})
}

// Y is where a point lies: the discarded ones stand below the others.
func (p Point) Y() int {
	if p.Out {
		return 86
	}
	return 44
}

// Discards reports whether a discarded reading is drawn.
func (s *Strip) Discards() bool {
	return slices.ContainsFunc(s.Points, func(p Point) bool { return p.Out })
}

// Wide is how wide the band is.
func (s *Strip) Wide() float64 { return s.High - s.Low }
