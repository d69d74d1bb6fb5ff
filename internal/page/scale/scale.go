// Package scale draws values on a line with their limits.
package scale

import (
	"cmp"
	"slices"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// The measures of a scale, in its own units.
const (
	width  = 640
	margin = 40
)

// Scale is a line with limits as a band and values as marks on it.
type Scale struct {
	Low, High float64 // ends of the band
	Marks     []Mark
	Ends      []Mark // of the band, with what is written there
}

// Mark is a place on a scale. What it stands for is told by its shape and its text.
type Mark struct {
	X     float64
	Kind  string // of markKinds, or end
	Text  string
	Aside float64 // how far the text stands beside the mark, so that it stays on the scale
	Row   int     // in which row the text stands, from 0, so that texts do not overlap
}

// markKinds are the kinds of marks, those first whose texts matter most.
var markKinds = []string{"chosen", "fitted", "measured", "predicted", "aim", "out", "grade"}

// TextY is how high the text of a mark stands, from the middle of the line.
func (m Mark) TextY() int { return -textAbove - rowHeight*m.Row }

const (
	textAbove = 34 // the lowest text stands above the line
	rowHeight = 30 // of a text
	below     = 62 // the line, for the texts of the ends
)

// Top is how far the drawing reaches above the line.
func (c *Scale) Top() int {
	top := textAbove
	for _, m := range c.Marks {
		if m.Text != "" {
			top = max(top, rowHeight-m.TextY())
		}
	}
	return top
}

// Height is how high the drawing is.
func (c *Scale) Height() int { return c.Top() + below }

// Kinds lists the kinds of marks that are there, for the legend.
func (c *Scale) Kinds() []string {
	var there []string
	for _, kind := range markKinds {
		if slices.ContainsFunc(c.Marks, func(m Mark) bool { return m.Kind == kind }) {
			there = append(there, kind)
		}
	}
	return there
}

// Span is what a scale shows.
type Span struct{ low, high gauge.Length }

// SpanOf is from the smallest value to the largest.
func SpanOf(values []gauge.Length) Span {
	s := Span{slices.Min(values), slices.Max(values)}
	if s.low == s.high {
		s.low, s.high = s.low-1, s.high+1
	}
	return s
}

// X is where a value lies.
func (s Span) X(l gauge.Length) float64 {
	part := float64(l-s.low) / float64(s.high-s.low)
	return margin + part*(width-2*margin)
}

// Band sets the limits; an end that is not limited reaches to the edge.
func (c *Scale) Band(s Span, l procedure.Limits, text func(gauge.Length) string) {
	c.Low, c.High = 0, width
	if l.Min != nil {
		c.Low = s.X(*l.Min)
		c.Ends = append(c.Ends, Mark{X: c.Low, Kind: "end", Text: text(*l.Min)})
	}
	if l.Max != nil {
		c.High = s.X(*l.Max)
	}
	if l.Max != nil && (l.Min == nil || *l.Min != *l.Max) { // a single value stands once
		c.Ends = append(c.Ends, Mark{X: c.High, Kind: "end", Text: text(*l.Max)})
	}
	if len(c.Ends) == 2 { // away from each other, however near they are
		c.Ends[0].Aside, c.Ends[1].Aside = -half(c.Ends[0].Text), half(c.Ends[1].Text)
	}
	for i := range c.Ends {
		c.Ends[i].keep()
	}
}

// Wide is how wide the band is.
func (c *Scale) Wide() float64 { return c.High - c.Low }

// textWidth is about how wide a character of the texts is.
const textWidth = 14

// half is half of a text's width, with some room.
func half(text string) float64 { return float64(len([]rune(text))*textWidth)/2 + 2 }

// keep moves the text of a mark so that it stays on the scale.
func (m *Mark) keep() {
	room := half(m.Text)
	at := min(max(m.X+m.Aside, room), width-room)
	m.Aside = at - m.X
}

// textRows is in how many rows the texts of the marks stand at most; one that finds no
// room is left out, and its mark stays.
const textRows = 4

// Place puts the texts of the marks into rows, the important ones first, so that
// none covers another or leaves the scale.
func (c *Scale) Place() {
	order := make([]*Mark, len(c.Marks))
	for i := range c.Marks {
		order[i] = &c.Marks[i]
	}
	slices.SortStableFunc(order, func(a, b *Mark) int { return cmp.Compare(rank(a.Kind), rank(b.Kind)) })
	type taken struct{ from, to float64 }
	var full [textRows][]taken
	for _, m := range order {
		m.keep()
		room := half(m.Text)
		from, to := m.X+m.Aside-room, m.X+m.Aside+room
		m.Row = -1
		for row := range full {
			free := !slices.ContainsFunc(full[row], func(t taken) bool { return from < t.to && t.from < to })
			if free {
				full[row] = append(full[row], taken{from, to})
				m.Row = row
				break
			}
		}
		if m.Row < 0 {
			m.Text = ""
		}
	}
}

func rank(kind string) int { return slices.Index(markKinds, kind) }
