package scale

import (
	"strconv"
	"testing"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// TestBandOfOneValue: equal limits stand there once.
func TestBandOfOneValue(t *testing.T) {
	c, l := &Scale{}, gauge.MustLength("0.65", gauge.Millimetre)
	c.Band(SpanOf([]gauge.Length{l}), procedure.Limits{Min: &l, Max: &l}, func(gauge.Length) string { return "0.65" })
	if len(c.Ends) != 1 || c.Wide() != 0 || c.Ends[0].Aside != 0 {
		t.Errorf("%+v", c)
	}
}

// TestScaleKeepsItsTexts: no text leaves the scale or stands on another.
func TestScaleKeepsItsTexts(t *testing.T) {
	c := &Scale{}
	for i := range 40 {
		kind := "grade"
		if i == 39 {
			kind = "chosen"
		}
		c.Marks = append(c.Marks, Mark{X: 40 + float64(i)*14, Kind: kind, Text: "LR-" + strconv.Itoa(100+i)})
	}
	c.Place()
	if c.Marks[39].Text == "" || c.Marks[39].Row != 0 {
		t.Errorf("the chosen one has no text in the first row: %+v", c.Marks[39])
	}
	shown := 0
	for i, m := range c.Marks {
		if m.Text == "" {
			continue
		}
		shown++
		if at := m.X + m.Aside; at-half(m.Text) < 0 || at+half(m.Text) > width {
			t.Errorf("%s leaves the scale", m.Text)
		}
		for _, n := range c.Marks[:i] {
			if n.Text != "" && n.Row == m.Row && max(m.X+m.Aside-n.X-n.Aside, n.X+n.Aside-m.X-m.Aside) < half(m.Text)+half(n.Text)-1e-9 {
				t.Errorf("%s stands on %s", m.Text, n.Text)
			}
		}
	}
	if shown < 10 {
		t.Errorf("only %d texts are shown", shown)
	}
}

// TestStrip: the band keeps its width when a reading that was discarded is far
// off, and readings on each other are one point with all their numbers.
func TestStrip(t *testing.T) {
	mm := func(text string) gauge.Length { return gauge.MustLength(text, gauge.Millimetre) }
	agree := mm("0.030")
	c := NewStrip(evaluate.Measurement{Agree: &agree, Readings: []procedure.Reading{
		{Value: mm("14.7"), Discarded: "slipped"}, {Value: mm("25.210")}, {Value: mm("25.211")}, {Value: mm("25.220")},
	}})
	if c.Wide() < width/2 {
		t.Errorf("the band is %v wide", c.Wide())
	}
	if len(c.Points) != 3 || c.Points[0].X != edge || !c.Points[0].Out || c.Points[1].Text != "2, 3" || c.Points[2].Text != "4" || !c.Discards() {
		t.Errorf("%+v", c.Points)
	}
	if NewStrip(evaluate.Measurement{Agree: &agree, Readings: []procedure.Reading{{}}}) != nil {
		t.Error("one reading is drawn")
	}
}
