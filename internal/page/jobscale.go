package page

import (
	"cmp"

	"gauged/internal/gauge"
	"gauged/internal/page/place"
	"gauged/internal/page/scale"
)

// thicknesses draws the window with every grade as a mark on it.
func (j jobPage) thicknesses(v place.View) *scale.Scale {
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
	c, s := &scale.Scale{}, scale.SpanOf(values)
	text := func(l gauge.Length) string { return j.words.Number(j.Procedure.Text(l)) }
	c.Band(s, *v.Window, text)
	if v.Aim != nil {
		c.Marks = append(c.Marks, scale.Mark{X: s.X(*v.Aim), Kind: "aim"})
	}
	settled := v.Settled()
	for i, g := range v.Candidates {
		if g.Thickness == nil {
			continue
		}
		m := scale.Mark{X: s.X(*g.Thickness), Kind: "grade", Text: cmp.Or(g.Mark, text(*g.Thickness))}
		switch {
		case settled == &v.Candidates[i]:
			m.Kind, m.Text = "chosen", g.Part
		case g.Stock != nil && *g.Stock == 0:
			m.Kind = "out"
		}
		c.Marks = append(c.Marks, m)
	}
	if v.Pack != nil {
		c.Marks = append(c.Marks, scale.Mark{X: s.X(v.Pack.Thickness), Kind: "chosen", Text: text(v.Pack.Thickness)})
	}
	if v.Fitted != nil && v.Fitted.Measured && v.Fitted.Thickness != nil {
		c.Marks = append(c.Marks, scale.Mark{X: s.X(*v.Fitted.Thickness), Kind: "fitted", Text: text(*v.Fitted.Thickness)})
	}
	c.Place()
	return c
}

// proof draws what was measured after fitting beside the prediction and the limits.
func (j jobPage) proof() *scale.Scale {
	v, proof := j.Evaluation.Verification, j.Evaluation.Proof(j.Procedure)
	if v == nil || !j.Evaluation.Allowed.Limited() {
		return nil
	}
	word, called := j.Procedure.Word, proof.Called()
	allowed, measured, digits := called.Allowed, called.Value, called.Beside(j.Procedure.Text)
	values := []gauge.Length{measured}
	for _, l := range []*gauge.Length{allowed.Min, allowed.Max} {
		if l != nil {
			values = append(values, *l)
		}
	}
	if v.Predicted != nil {
		values = append(values, word.Called(*v.Predicted))
	}
	c, s := &scale.Scale{}, scale.SpanOf(values)
	text := func(l gauge.Length) string { return j.words.Number(digits(l)) }
	c.Band(s, allowed, text)
	if v.Predicted != nil {
		predicted := word.Called(*v.Predicted)
		c.Marks = append(c.Marks, scale.Mark{X: s.X(predicted), Kind: "predicted", Text: text(predicted)})
	}
	c.Marks = append(c.Marks, scale.Mark{X: s.X(measured), Kind: "measured", Text: text(measured)})
	c.Place()
	return c
}
