package page

import (
	"cmp"
	"slices"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// The measures of a scale, in its own units.
const (
	scaleWidth  = 640
	scaleMargin = 40
)

// scale is a line with limits as a band and values as marks on it.
type scale struct {
	Low, High float64 // ends of the band
	Marks     []mark
	Ends      []mark // of the band, with what is written there
}

// mark is a place on a scale. What it stands for is told by its shape and its text.
type mark struct {
	X     float64
	Kind  string // of markKinds, or end
	Text  string
	Aside float64 // how far the text stands beside the mark, so that it stays on the scale
	Row   int     // in which row the text stands, from 0, so that texts do not overlap
}

// markKinds are the kinds of marks, those first whose texts matter most.
var markKinds = []string{"chosen", "fitted", "measured", "predicted", "aim", "out", "grade"}

// TextY is how high the text of a mark stands, from the middle of the line.
func (m mark) TextY() int { return -textAbove - rowHeight*m.Row }

const (
	textAbove = 34 // the lowest text stands above the line
	rowHeight = 30 // of a text
	below     = 62 // the line, for the texts of the ends
)

// Top is how far the drawing reaches above the line.
func (c *scale) Top() int {
	top := textAbove
	for _, m := range c.Marks {
		if m.Text != "" {
			top = max(top, rowHeight-m.TextY())
		}
	}
	return top
}

// Height is how high the drawing is.
func (c *scale) Height() int { return c.Top() + below }

// Kinds lists the kinds of marks that are there, for the legend.
func (c *scale) Kinds() []string {
	var there []string
	for _, kind := range markKinds {
		if slices.ContainsFunc(c.Marks, func(m mark) bool { return m.Kind == kind }) {
			there = append(there, kind)
		}
	}
	return there
}

// span is what a scale shows.
type span struct{ low, high gauge.Length }

func spanOf(values []gauge.Length) span {
	s := span{slices.Min(values), slices.Max(values)}
	if s.low == s.high {
		s.low, s.high = s.low-1, s.high+1
	}
	return s
}

// x is where a value lies.
func (s span) x(l gauge.Length) float64 {
	part := float64(l-s.low) / float64(s.high-s.low)
	return scaleMargin + part*(scaleWidth-2*scaleMargin)
}

// band sets the limits; an end that is not limited reaches to the edge.
func (c *scale) band(s span, l procedure.Limits, text func(gauge.Length) string) {
	c.Low, c.High = 0, scaleWidth
	if l.Min != nil {
		c.Low = s.x(*l.Min)
		c.Ends = append(c.Ends, mark{X: c.Low, Kind: "end", Text: text(*l.Min)})
	}
	if l.Max != nil {
		c.High = s.x(*l.Max)
	}
	if l.Max != nil && (l.Min == nil || *l.Min != *l.Max) { // a single value stands once
		c.Ends = append(c.Ends, mark{X: c.High, Kind: "end", Text: text(*l.Max)})
	}
	if len(c.Ends) == 2 { // away from each other, however near they are
		c.Ends[0].Aside, c.Ends[1].Aside = -half(c.Ends[0].Text), half(c.Ends[1].Text)
	}
	for i := range c.Ends {
		c.Ends[i].keep()
	}
}

// Wide is how wide the band is.
func (c *scale) Wide() float64 { return c.High - c.Low }

// textWidth is about how wide a character of the texts is.
const textWidth = 14

// half is half of a text's width, with some room.
func half(text string) float64 { return float64(len([]rune(text))*textWidth)/2 + 2 }

// keep moves the text of a mark so that it stays on the scale.
func (m *mark) keep() {
	room := half(m.Text)
	at := min(max(m.X+m.Aside, room), scaleWidth-room)
	m.Aside = at - m.X
}

// textRows is in how many rows the texts of the marks stand at most; one that finds no
// room is left out, and its mark stays.
const textRows = 4

// place puts the texts of the marks into rows, the important ones first, so that
// none covers another or leaves the scale.
func (c *scale) place() {
	order := make([]*mark, len(c.Marks))
	for i := range c.Marks {
		order[i] = &c.Marks[i]
	}
	slices.SortStableFunc(order, func(a, b *mark) int { return cmp.Compare(rank(a.Kind), rank(b.Kind)) })
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

// thicknesses draws the window with every grade as a mark on it.
func (j jobPage) thicknesses(v fitView) *scale {
	if v.Window == nil {
		return nil
	}
	var values []gauge.Length
	for _, l := range []*gauge.Length{v.Window.Min, v.Window.Max, v.Aim} {
		if l != nil {
			values = append(values, *l)
		}
	}
	for _, c := range v.Candidates {
		if c.Thickness != nil {
			values = append(values, *c.Thickness)
		}
	}
	if v.Pack != nil {
		values = append(values, v.Pack.Thickness)
	}
	if v.Fitted != nil && v.Fitted.Thickness != nil {
		values = append(values, *v.Fitted.Thickness)
	}
	if len(values) == 0 {
		return nil
	}
	c, s := &scale{}, spanOf(values)
	text := func(l gauge.Length) string { return j.words.Number(j.Procedure.Text(l)) }
	c.band(s, *v.Window, text)
	if v.Aim != nil {
		c.Marks = append(c.Marks, mark{X: s.x(*v.Aim), Kind: "aim"})
	}
	settled := v.Settled()
	for i, g := range v.Candidates {
		if g.Thickness == nil {
			continue
		}
		m := mark{X: s.x(*g.Thickness), Kind: "grade", Text: cmp.Or(g.Mark, text(*g.Thickness))}
		switch {
		case settled == &v.Candidates[i]:
			m.Kind, m.Text = "chosen", g.Part
		case g.Stock != nil && *g.Stock == 0:
			m.Kind = "out"
		}
		c.Marks = append(c.Marks, m)
	}
	if v.Pack != nil {
		c.Marks = append(c.Marks, mark{X: s.x(v.Pack.Thickness), Kind: "chosen", Text: text(v.Pack.Thickness)})
	}
	if v.Fitted != nil && v.Fitted.Measured && v.Fitted.Thickness != nil {
		c.Marks = append(c.Marks, mark{X: s.x(*v.Fitted.Thickness), Kind: "fitted", Text: text(*v.Fitted.Thickness)})
	}
	c.place()
	return c
}

// proof draws what was measured after fitting beside the prediction and the limits.
func (j jobPage) proof() *scale {
	v := j.Evaluation.Verification
	if v == nil || !j.Evaluation.Allowed.Limited() {
		return nil
	}
	word := j.Procedure.Word
	allowed, measured := word.CalledLimits(j.Evaluation.Allowed), word.Called(v.Measured)
	values := []gauge.Length{measured}
	for _, l := range []*gauge.Length{allowed.Min, allowed.Max} {
		if l != nil {
			values = append(values, *l)
		}
	}
	if v.Predicted != nil {
		values = append(values, word.Called(*v.Predicted))
	}
	c, s := &scale{}, spanOf(values)
	text := func(l gauge.Length) string { return j.words.Number(j.Procedure.Text(l)) }
	c.band(s, allowed, text)
	if v.Predicted != nil {
		predicted := word.Called(*v.Predicted)
		c.Marks = append(c.Marks, mark{X: s.x(predicted), Kind: "predicted", Text: text(predicted)})
	}
	c.Marks = append(c.Marks, mark{X: s.x(measured), Kind: "measured", Text: text(measured)})
	c.place()
	return c
}
