package say

import (
	"cmp"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/words"
)

// Typed writes the limits of a judgement as the procedure has them, where they are constants in
// another unit than the result: a torque in N m may be held against limits in lbf in. Empty:
// they are in its unit.
func Typed(w words.Words, p *procedure.Procedure, j evaluate.Judgement) (string, error) {
	b := boundsOf(p, j.Name)
	least, most := typed(w, p, b.MinOf, j), typed(w, p, b.MaxOf, j)
	switch {
	case least != "" && most != "":
		return w.Say("sheet.from-to", least, most)
	case least != "" && j.Allowed.Max == nil:
		return w.Say("sheet.at-least", least)
	case most != "" && j.Allowed.Min == nil:
		return w.Say("sheet.at-most", most)
	}
	return cmp.Or(least, most), nil
}

// boundsOf are the limits of a result.
func boundsOf(p *procedure.Procedure, result string) procedure.Bounds {
	for _, j := range p.Judge {
		if j.Name == result {
			return j.Limits
		}
	}
	if p.KeepWhen != nil && p.KeepWhen.Name == result {
		return p.KeepWhen.Limits
	}
	return procedure.Bounds{}
}

// typed is a limit that is a constant in another unit than the result; empty: it is none.
func typed(w words.Words, p *procedure.Procedure, limit *formula.Expression, j evaluate.Judgement) string {
	if limit == nil {
		return ""
	}
	for _, c := range p.Constants {
		if c.Name == limit.String() && c.Unit.Known() && c.Unit != j.Unit {
			return Length(w, c.Value, c.Unit)
		}
	}
	return ""
}
