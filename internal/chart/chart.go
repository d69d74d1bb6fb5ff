// Package chart draws one chart, of points or of bars, in two forms: lines of plain ASCII for a
// terminal, and SVG with a title and a description for a browser and a screen
// reader. Nothing is told apart by colour alone: lines differ by their dashes
// and letters, marks by their shapes. A drawing inside a page takes the colours of the page.
package chart

import (
	"fmt"
	"math"
	"slices"
)

// Chart is what is drawn.
type Chart struct {
	Title       string
	Description string  // what the chart shows, in words, for those who do not see it
	Up          string  // what is counted upwards, with its unit
	Along       string  // what is counted along the x axis, with its unit; empty: the ticks say it
	From, To    float64 // ends of the x axis; equal: those of the points
	Ticks       []Tick  // along the x axis; left out where there is no room for all
	Lines       []Line  // lie under the marks, the last on top
	Marks       []Marks
	Flags       []Flag
	// Near are heights, such as limits, that the drawing is scaled by: it goes on beyond them by
	// no more than their distance. What lies further out is cut, with an arrow and its value.
	// Empty: it holds everything.
	Near   []float64
	Number func(string) string // writes decimal text with a point as a language does; nil: as it is
}

// Tick is a labelled place on the x axis.
type Tick struct {
	X     float64
	Label string
}

// Point is a place in the chart.
type Point struct {
	X, Y float64
	Bar  float64 // half the height of its error bar, such as an expanded uncertainty; 0: none
	Note string  // what it is, in words; empty: nothing is said of it
	Link string  // address of more about it, in SVG; it needs a note
}

// Flag marks a place of which a date or a number is said.
type Flag struct {
	X, Y  float64
	Label string
}

// Tone is what a line is, which its colour on a page says too.
type Tone string

// The tones.
const (
	Plain Tone = ""
	Limit Tone = "limit" // what is beyond it is wrong
	Quiet Tone = "quiet" // beside the matter
)

// Line is a line through points in the order of x. Its name stands at its end.
type Line struct {
	Name   string // empty: not said
	Tone   Tone
	Rune   rune   // in text; ASCII
	Dash   string // in SVG: lengths of strokes and gaps, "" for a full line
	Points []Point
}

// Marks are points of one kind.
type Marks struct {
	Name   string
	Rune   rune // in text; ASCII
	Shape  Shape
	Joined bool   // in SVG a line goes through them, in the order of x
	Dash   string // of this line
	Tone   Tone
	Points []Point
}

// Shape is how a mark looks in SVG.
type Shape string

// The shapes.
const (
	Circle   Shape = "circle"
	Cross    Shape = "cross"
	Square   Shape = "square"
	Diamond  Shape = "diamond"
	Triangle Shape = "triangle"
	Plus     Shape = "plus"
	Dot      Shape = "dot" // small
)

// box is the range of the chart.
type box struct{ left, right, low, high float64 }

// bounds returns what is drawn, with some room above and below: everything, or what is near.
func (c Chart) bounds() box {
	b := box{math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)}
	take := func(points []Point) {
		for _, p := range points {
			b.left, b.right = min(b.left, p.X), max(b.right, p.X)
			b.low, b.high = min(b.low, p.Y), max(b.high, p.Y)
		}
	}
	for _, l := range c.Lines {
		take(l.Points)
	}
	for _, m := range c.Marks {
		take(m.Points)
	}
	if b.left > b.right { // nothing to draw
		return box{0, 1, 0, 1}
	}
	if c.From < c.To {
		b.left, b.right = c.From, c.To
	}
	if b.left == b.right {
		b.left, b.right = b.left-1, b.right+1
	}
	b = c.near(c.barred(b))
	room := (b.high - b.low) / 20
	if room == 0 {
		room = max(math.Abs(b.high), 1) / 2
	}
	b.low, b.high = b.low-room, b.high+room
	return b
}

// barred makes room for error bars: for whole ones, but not for more than all else needs,
// so that none flattens the drawing.
func (c Chart) barred(b box) box {
	low, high := b.low, b.high
	for _, m := range c.Marks {
		for _, p := range m.Points {
			b.low, b.high = min(b.low, p.Y-p.Bar), max(b.high, p.Y+p.Bar)
		}
	}
	return b.around(low, high)
}

// around is what of a box is no further from two heights than these are apart.
func (b box) around(low, high float64) box {
	if most := high - low; most > 0 {
		b.low, b.high = max(b.low, low-most), min(b.high, high+most)
	}
	return b
}

// near cuts what is far from the heights that the drawing is scaled by.
func (c Chart) near(b box) box {
	if len(c.Near) == 0 {
		return b
	}
	low, high := slices.Min(c.Near), slices.Max(c.Near)
	b.low, b.high = min(b.low, low), max(b.high, high)
	return b.around(low, high)
}

// across and up return the part of the way from left to right, from low to high.
func (b box) across(x float64) float64 { return (x - b.left) / (b.right - b.left) }
func (b box) up(y float64) float64     { return (y - b.low) / (b.high - b.low) }

// steps returns round values inside the range, up to about n of them, and their
// labels, as number writes them.
func (b box) steps(n int, number func(string) string) (values []float64, labels []string) {
	values, labels = steps(b.low, b.high, n)
	for i, l := range labels {
		labels[i] = written(number, l)
	}
	return values, labels
}

// written is decimal text in the language of a chart.
func written(number func(string) string, text string) string {
	if number == nil {
		return text
	}
	return number(text)
}

// Ticks returns up to about n round values from low to high, as number writes them.
func Ticks(low, high float64, n int, number func(string) string) (ticks []Tick) {
	if !(low < high) {
		return nil
	}
	values, labels := steps(low, high, n)
	for i, v := range values {
		ticks = append(ticks, Tick{v, written(number, labels[i])})
	}
	return ticks
}

func steps(low, high float64, n int) (values []float64, labels []string) {
	raw := (high - low) / float64(n)
	exponent := math.Floor(math.Log10(raw))
	step := math.Pow(10, exponent)
	for _, f := range []float64{1, 2, 5, 10} {
		if f*step >= raw {
			step *= f
			break
		}
	}
	decimals := max(0, int(-math.Floor(math.Log10(step)+1e-9)))
	for i := math.Ceil(low / step); i*step <= high+step*1e-9; i++ {
		values = append(values, i*step)
		labels = append(labels, fmt.Sprintf("%.*f", decimals, i*step+0)) // + 0: no negative zero
	}
	return values, labels
}

// at returns the height of the line at x; ok is false beside it.
func (l Line) at(x float64) (y float64, ok bool) {
	for i, p := range l.Points[:max(len(l.Points)-1, 0)] {
		q := l.Points[i+1]
		if p.X <= x && x <= q.X && p.X < q.X {
			return p.Y + (q.Y-p.Y)*(x-p.X)/(q.X-p.X), true
		}
	}
	return 0, false
}

// Scale multiplies every height, to draw in another unit.
func (c *Chart) Scale(by float64) {
	scale := func(points []Point) {
		for i := range points {
			points[i].Y *= by
			points[i].Bar *= by
		}
	}
	for _, l := range c.Lines {
		scale(l.Points)
	}
	for _, m := range c.Marks {
		scale(m.Points)
	}
	for i := range c.Flags {
		c.Flags[i].Y *= by
	}
	for i := range c.Near {
		c.Near[i] *= by
	}
}
