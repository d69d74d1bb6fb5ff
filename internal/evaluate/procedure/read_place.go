package procedure

import (
	"gauged/internal/evaluate/formula"
	"gauged/internal/shopfile"
)

// places reads where parts go: several places under fit, or the one place of
// the procedure itself.
func (r *procedureReader) places(m *shopfile.Map) {
	fit := m.Get("fit")
	if !fit.Given() {
		r.place(m, shopfile.Value{}, &r.p.Place)
		return
	}
	for _, key := range []string{"gap", "look_up", "thickness", "allow", "part", "choose", "add_after_proof"} {
		m.Get(key).Problemf("with several places under fit, %q stands in each of them", key)
	}
	for _, e := range fit.Map().Entries() {
		pm := e.Value.Map()
		if n := len(r.p.Places); n > 0 {
			r.know(formula.FittedName(r.p.Places[n-1].Name), formula.Length, r.p.Unit, false)
		}
		place := Place{Name: e.Key.Word(), Title: pm.Get("title").Text()}
		r.place(pm, e.Value, &place)
		pm.Done()
		if !place.ChoosesPart() {
			e.Value.Problemf("nothing is fitted at this place: name a part family under parts, or say part: made to size")
		}
		r.p.Places = append(r.p.Places, place)
	}
	if len(r.p.Places) == 0 || len(r.p.Places) > most {
		fit.Problemf("give from 1 to %d places", most)
	}
}

// place reads one place. v is the zero Value for the procedure's own.
func (r *procedureReader) place(m *shopfile.Map, v shopfile.Value, p *Place) {
	gap, thickness, choose := m.Get("gap"), m.Get("thickness"), m.Get("choose")
	r.part(m, p)
	how := r.choose(choose, p)
	r.allow(m.Get("allow"), p)
	gap = r.gap(gap, m.Get("look_up"), p)
	within := m.Get("within")
	if thickness.Given() {
		p.Thickness = r.formula(thickness, &formula.Length)
	} else {
		within.Problemf("only a stated thickness has this: the limits of a gap stand under allow")
	}
	if within.Given() {
		p.Within = within.Positive(r.p.Unit, true)
	}
	r.aimAt(how, p)
	if add := m.Get("add_after_proof"); add.Given() {
		l := add.Length(r.p.Unit)
		if p.AddAfter = &l; l == 0 || !p.ChoosesPart() {
			add.Problemf("what is added to the part after the proof is not 0, and there is a part")
		}
		r.addedAfter = add
	}
	switch {
	case thickness.Given() && gap.Given():
		thickness.Problemf("give the gap with the allowed play, or the thickness, not both")
	case thickness.Given():
		r.byThickness(m, p)
	case p.Choose.Aim.LooksUp():
		gap.Problemf("a choice by %s needs no gap", p.Choose.Aim)
	case p.ChoosesPart():
		if !gap.Given() {
			m.Need("gap")
		}
		r.byGap(m, p)
	case v.Given():
	case gap.Given():
		r.judged(m, p)
	case len(r.p.Values) == 0 && len(r.p.Judge) == 0:
		m.Need("gap")
	}
}

// gap reads the gap, or what else a table is looked up by, and returns where it stands.
func (r *procedureReader) gap(gap, lookUp shopfile.Value, p *Place) shopfile.Value {
	switch {
	case p.Choose.Aim != AimTable:
		lookUp.Problemf("only method: table looks something up; any other method needs the gap")
		if !p.Choose.Aim.LooksUp() {
			p.Gap = r.formula(gap, &formula.Length)
		}
	case lookUp.Given():
		if gap.Given() {
			lookUp.Problemf("a table is looked up by the gap, or by what stands under look_up, not by both")
		}
		p.NoGap, p.Gap = true, r.formula(lookUp, nil)
		return lookUp
	default:
		if p.Gap = r.formula(gap, nil); p.Gap != nil && p.Gap.Of != formula.Length && !r.stored {
			gap.Problemf("a gap is a length, and this is %s: write it under look_up", p.Gap.Of)
		}
	}
	return gap
}

// part reads what is fitted.
func (r *procedureReader) part(m *shopfile.Map, p *Place) {
	parts, made := m.Get("parts"), m.Get("part")
	if parts.Given() {
		p.Parts = parts.Word()
	}
	if made.Given() {
		p.ToSize = made.OneOf(ToSize) != ""
	}
	if parts.Given() && made.Given() {
		made.Problemf("a part is chosen from a family or made to size, not both: remove parts or part")
	}
	if !p.ChoosesPart() {
		m.Get("choose").Followerf("nothing is chosen: name a part family under parts, or say part: made to size")
	}
}

// judged checks a procedure that fits nothing and judges its gap.
func (r *procedureReader) judged(m *shopfile.Map, p *Place) {
	if p.Word == WordPlay || p.Word == WordPreload {
		m.Get("allow").Followerf("nothing is fitted here, so the limits are those of the result: write allow: {result: ...}")
	} else if !m.Get("allow").Given() {
		m.Get("gap").Problemf("nothing says what the gap is for: judge it with allow: {result: ...}, choose from parts, or say part: made to size")
	}
}

// byGap checks a place whose part fills a gap less a play.
func (r *procedureReader) byGap(m *shopfile.Map, p *Place) {
	if p.Choose.Aim == AimTable {
		return
	}
	if p.Word == WordResult || !p.Allowed.Given() {
		m.Need("allow").Followerf("a part is chosen, so give the allowed play or preload")
	} else if p.Allowed.Min == nil && p.Allowed.MinOf == nil || p.Allowed.Max == nil && p.Allowed.MaxOf == nil {
		m.Get("allow").Followerf("give both min and max: a part cannot be chosen with one limit")
	}
	if !m.Get("choose").Given() {
		m.Need("choose")
	}
}

// byThickness checks a place whose part has a stated thickness.
func (r *procedureReader) byThickness(m *shopfile.Map, p *Place) {
	if m.Get("allow").Given() {
		m.Get("allow").Problemf("the thickness is stated, so there is no play to allow: say within, how much the part may differ")
	}
	if !p.ChoosesPart() {
		m.Get("thickness").Problemf("no part has this thickness: name a part family under parts, or say part: made to size")
	}
	switch p.Choose.Aim {
	case AimNearest, AimThicker, AimThinner:
	case "":
		p.Choose.Aim, p.Choose.Border = AimNearest, BorderInside
	default:
		m.Get("choose").Problemf("the thickness is stated: say method: nearest, next thicker or next thinner")
	}
	if p.Choose.Pack != nil && p.Within == nil && !(p.Choose.Pack.SumFirst && p.Choose.Aim != AimNearest) {
		m.Get("choose").Problemf("a pack for a stated thickness needs within: how much its sum may differ")
	}
}

// allow reads the limits of the closing dimension. A preload is kept as a
// negative play.
func (r *procedureReader) allow(v shopfile.Value, p *Place) {
	if !v.Given() {
		return
	}
	m := v.Map()
	words := 0
	for _, word := range []Word{WordPlay, WordPreload, WordResult} {
		limits := m.Get(string(word))
		if !limits.Given() {
			continue
		}
		words++
		p.Word = word
		lm := limits.Map()
		p.Allowed = r.bounds(lm, limits, r.p.Unit)
		lm.Done()
		if word != WordPreload {
			continue
		}
		if p.Allowed.MinOf != nil || p.Allowed.MaxOf != nil {
			p.Allowed.Negated = true
		} else {
			p.Allowed.Limits = p.Allowed.Limits.Negative()
		}
	}
	if words != 1 && v.IsMap() {
		v.Problemf("give exactly one of play, preload or result")
	}
	m.Done()
}

// choose reads how one of several parts is preferred.
// It returns where that stands: the method, or the play to aim at.
func (r *procedureReader) choose(v shopfile.Value, p *Place) (how shopfile.Value) {
	if !v.Given() {
		return v
	}
	c := &p.Choose
	m := v.Map()
	how = r.method(m, c)
	if (c.Aim == AimTable || c.Aim.LooksUp()) && p.ToSize {
		how.Problemf("a part made to size has no table: say method: middle, thickest or thinnest, or a play to aim at")
	}
	if c.Aim == AimLikeliest && p.ToSize {
		how.Problemf("a part made to size is likeliest in the middle: say method: middle")
	}
	if tie := m.Get("tie"); tie.Given() {
		c.TieThicker = tie.OneOf("thinner", "thicker") == "thicker"
	}
	if pack := m.Get("pack"); pack.Given() {
		c.Pack = r.pack(pack, p)
	}
	if none := m.Get("none"); none.Given() {
		c.None = none.OneOf("allowed") != ""
		if c.Aim == AimTable || c.Aim.LooksUp() {
			none.Problemf("a table says itself where no part is right: give it a row with part: %s", NoPart)
		}
	}
	if step := m.Get("step"); step.Given() {
		if c.Step = *step.Positive(r.p.Unit, false); !p.ToSize {
			step.Problemf("only a part made to size comes in steps: a family has its grades")
		}
	}
	if with := m.Get("measured_with"); with.Given() {
		c.MeasuredWith = with.Text()
		if _, ok := r.p.Instruments[c.MeasuredWith]; !ok {
			with.Problemf("%q does not stand under instruments", c.MeasuredWith)
		}
	}
	c.Border = BorderInside
	if at := m.Get("at_limit"); at.Given() && at.OneOf("fits", "does not fit") == "does not fit" {
		c.Border = BorderOutside
	}
	m.Done()
	return how
}

// method reads how one of several parts is chosen: by a method, or by the play that is
// aimed at.
func (r *procedureReader) method(m *shopfile.Map, c *Choose) (how shopfile.Value) {
	method, aim := m.Get("method"), m.Get("aim")
	if aim.Given() {
		method.Problemf("a part is chosen by a method or by a play to aim at, not both: remove method or aim")
		c.Aim = AimPlay
		return aim
	}
	c.Aim = Aim(m.NeedOneOf("method", "middle", "thickest", "thinnest", "likeliest", "table", "marks", "chart", "nearest", "next thicker", "next thinner"))
	return method
}

// aimAt reads the play that is aimed at, when the limits are known.
func (r *procedureReader) aimAt(aim shopfile.Value, p *Place) {
	if p.Choose.Aim != AimPlay {
		if p.Choose.Aim.stated() && p.Thickness == nil {
			aim.Problemf("there is no stated thickness: give thickness, or say method: middle, thickest or thinnest, or a play to aim at")
		}
		return
	}
	c := &p.Choose
	am := aim.Map()
	found := false
	for _, word := range []Word{WordPlay, WordPreload} {
		stated := am.Get(string(word))
		if !stated.Given() {
			continue
		}
		found = true
		c.AimNegated = word == WordPreload
		value, of := r.bound(stated, r.p.Unit)
		if c.AimOf = of; value != nil {
			if c.AimPlay = *value; c.AimNegated {
				c.AimPlay = -c.AimPlay
			}
		}
	}
	am.Done()
	switch {
	case !found:
		aim.Problemf("give the play or the preload to aim at")
	case c.AimOf == nil && p.Allowed.MinOf == nil && p.Allowed.MaxOf == nil && !p.Allowed.Contains(c.AimPlay):
		aim.Problemf("the aim is outside the allowed limits")
	}
}

// pack reads how many pieces may be stacked.
func (r *procedureReader) pack(v shopfile.Value, p *Place) *PackRule {
	rule := &PackRule{Least: 1, Most: 10}
	if p.ToSize || p.Choose.Aim == AimTable || p.Choose.Aim.LooksUp() || p.Choose.Aim == AimLikeliest {
		v.Problemf("pieces are stacked only when a part is chosen from a family by its thickness")
	}
	m := v.Map()
	if least := m.Get("least"); least.Given() {
		rule.Least = least.Int(1, mostPieces)
	}
	if most := m.Get("most"); most.Given() {
		rule.Most = most.Int(1, mostPieces)
	}
	if first := m.Get("first"); first.Given() {
		rule.SumFirst = first.OneOf("pieces", "sum") == "sum"
	}
	m.Done()
	if rule.Least > rule.Most {
		v.Problemf("at least %d pieces are more than at most %d", rule.Least, rule.Most)
	}
	return rule
}
