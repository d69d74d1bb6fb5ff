package page

import (
	"cmp"
	"slices"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
)

// The measures of a scale, in its own units.
const (
	scaleWidth  = 1000
	scaleMargin = 60
)

// scale is a line with limits as a band and values as marks on it.
type scale struct {
	Low, High float64 // ends of the band
	Open      string  // low or high: the band has no such end; empty: it has both
	Marks     []mark
	Ends      []mark // of the band, with what is written there
}

// mark is a place on a scale. What it stands for is told by its shape and its text.
type mark struct {
	X    float64
	Kind string // grade, out, chosen, fitted, aim, predicted, measured, end
	Text string
	Row  int // in which row the text stands, from 0, so that texts do not overlap
}

// TextY is how high the text of a mark stands, from the middle of the line.
func (m mark) TextY() int { return -36 - 24*m.Row }

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
func (c *scale) band(s span, l evaluate.Limits, text func(gauge.Length) string) {
	c.Low, c.High = 0, scaleWidth
	if l.Min != nil {
		c.Low = s.x(*l.Min)
		c.Ends = append(c.Ends, mark{X: c.Low, Kind: "end", Text: text(*l.Min)})
	} else {
		c.Open = "low"
	}
	if l.Max != nil {
		c.High = s.x(*l.Max)
		c.Ends = append(c.Ends, mark{X: c.High, Kind: "end", Text: text(*l.Max)})
	} else {
		c.Open = "high"
	}
}

// Wide is how wide the band is.
func (c *scale) Wide() float64 { return c.High - c.Low }

// textWidth is about how wide a character of the texts is.
const textWidth = 15

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
		half := float64(len([]rune(m.Text))*textWidth) / 2
		from, to := m.X-half, m.X+half
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

func rank(kind string) int {
	return slices.Index([]string{"chosen", "fitted", "measured", "predicted", "aim", "out", "grade"}, kind)
}

// fitView is a place where a part goes, with its scale.
type fitView struct {
	*evaluate.Fit
	Word    evaluate.Word
	Chosen  string // part that was settled on; empty: none yet
	Scale   *scale // of the thickness; nil: there is none to show
	ToSize  bool
	OutOf   []evaluate.Candidate // that would fit and are out of stock
	Nearest *evaluate.Candidate  // when nothing fits: what comes nearest
}

// Done reports whether the place has its part.
func (v fitView) Done() bool { return v.Fitted != nil }

func (j jobPage) places() (views []fitView) {
	for _, f := range j.Evaluation.EachFit() {
		place, ok := j.Procedure.PlaceNamed(f.Place)
		if !ok || f.Gap == nil && f.Aim == nil && len(f.Candidates) == 0 {
			continue
		}
		v := fitView{Fit: f, Word: cmp.Or(place.Word, evaluate.WordResult), Chosen: j.Chosen[f.Place], ToSize: place.ToSize}
		v.Scale = j.thicknesses(v)
		for _, c := range f.Candidates {
			if c.Fits && c.Stock != nil && *c.Stock == 0 {
				v.OutOf = append(v.OutOf, c)
			}
		}
		if f.Choice == nil && f.Pack == nil {
			v.Nearest = nearest(f)
		}
		views = append(views, v)
	}
	return views
}

// nearest is the candidate whose thickness comes nearest to the aim.
func nearest(f *evaluate.Fit) *evaluate.Candidate {
	if f.Aim == nil {
		return nil
	}
	var best *evaluate.Candidate
	for i, c := range f.Candidates {
		if c.Thickness != nil && (best == nil || (*c.Thickness-*f.Aim).Abs() < (*best.Thickness-*f.Aim).Abs()) {
			best = &f.Candidates[i]
		}
	}
	return best
}

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
	for _, g := range v.Candidates {
		if g.Thickness == nil {
			continue
		}
		m := mark{X: s.x(*g.Thickness), Kind: "grade", Text: cmp.Or(g.Mark, text(*g.Thickness))}
		switch {
		case v.Choice != nil && g.Part == v.Choice.Part:
			m.Kind, m.Text = "chosen", g.Part
		case g.Stock != nil && *g.Stock == 0:
			m.Kind = "out"
		}
		c.Marks = append(c.Marks, m)
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
	values := []gauge.Length{v.Measured}
	for _, l := range []*gauge.Length{j.Evaluation.Allowed.Min, j.Evaluation.Allowed.Max, v.Predicted} {
		if l != nil {
			values = append(values, *l)
		}
	}
	c, s := &scale{}, spanOf(values)
	text := func(l gauge.Length) string { return j.words.Number(j.Procedure.Text(l)) }
	c.band(s, j.Evaluation.Allowed, text)
	if v.Predicted != nil {
		c.Marks = append(c.Marks, mark{X: s.x(*v.Predicted), Kind: "predicted", Text: text(*v.Predicted)})
	}
	c.Marks = append(c.Marks, mark{X: s.x(v.Measured), Kind: "measured", Text: text(v.Measured)})
	c.place()
	return c
}

// strip draws the repeats of a measurement with the band in which they must agree.
type strip struct {
	Low, High float64 // ends of the band; equal when agreement is not limited
	Points    []stripPoint
}

type stripPoint struct {
	X      float64
	Number int
	Out    bool // discarded
}

// newStrip draws repeats; nil below two readings or without limits of agreement.
func newStrip(m evaluate.Measurement) *strip {
	if m.Agree == nil || len(m.Readings) < 2 {
		return nil
	}
	var counting, all []gauge.Length
	for _, r := range m.Readings {
		all = append(all, r.Value)
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
	s := spanOf(append(all, low, high))
	c := &strip{Low: s.x(low), High: s.x(high)}
	for i, r := range m.Readings {
		c.Points = append(c.Points, stripPoint{X: s.x(r.Value), Number: i + 1, Out: r.Discarded != ""})
	}
	return c
}

// Wide is how wide the band is.
func (s *strip) Wide() float64 { return s.High - s.Low }
