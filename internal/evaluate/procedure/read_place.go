package procedure

import (
	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
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
		m.Get(key).Wrong(gauge.Say("entry.places-key", gauge.Text("key", key)))
	}
	for _, e := range fit.Map().Names() {
		pm := e.Value.Map()
		if n := len(r.p.Places); n > 0 {
			r.know(formula.FittedName(r.p.Places[n-1].Name), formula.Length, r.p.Unit, false)
		}
		place := Place{Name: e.Key.Word(), Title: pm.Get("title").Text()}
		r.place(pm, e.Value, &place)
		pm.Done()
		if !place.ChoosesPart() {
			e.Value.Wrong(gauge.Say("entry.place-empty"))
		}
		r.p.Places = append(r.p.Places, place)
	}
	if len(r.p.Places) == 0 || len(r.p.Places) > most {
		fit.Wrong(gauge.Say("entry.places-count", gauge.Count("most", most)))
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
		within.Wrong(gauge.Say("entry.within-alone"))
	}
	if within.Given() {
		p.Within = within.Positive(r.p.Unit, true)
	}
	r.aimAt(how, p)
	if add := m.Get("add_after_proof"); add.Given() {
		l := add.Length(r.p.Unit)
		if p.AddAfter = &l; l == 0 || !p.ChoosesPart() {
			add.Wrong(gauge.Say("entry.add-after-proof"))
		}
		r.addedAfter = add
	}
	switch {
	case thickness.Given() && gap.Given():
		thickness.Wrong(gauge.Say("entry.gap-and-thickness"))
	case thickness.Given():
		r.byThickness(m, p)
	case p.Choose.Aim.LooksUp():
		gap.Wrong(gauge.Say("entry.gap-needless", gauge.Text("method", string(p.Choose.Aim))))
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
		lookUp.Wrong(gauge.Say("entry.look-up-no-table"))
		if !p.Choose.Aim.LooksUp() {
			p.Gap = r.formula(gap, &formula.Length)
		}
	case lookUp.Given():
		if gap.Given() {
			lookUp.Wrong(gauge.Say("entry.look-up-and-gap"))
		}
		p.NoGap, p.Gap = true, r.formula(lookUp, nil)
		return lookUp
	default:
		if p.Gap = r.formula(gap, nil); p.Gap != nil && p.Gap.Of != formula.Length && !r.stored {
			gap.Wrong(gauge.Say("entry.gap-no-length", gauge.Word("is", p.Gap.Of.Word())))
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
		made.Wrong(gauge.Say("entry.part-and-parts"))
	}
	if !p.ChoosesPart() {
		m.Get("choose").Follows(gauge.Say("entry.choose-nothing"))
	}
}

// judged checks a procedure that fits nothing and judges its gap.
func (r *procedureReader) judged(m *shopfile.Map, p *Place) {
	if p.Word == WordPlay || p.Word == WordPreload {
		m.Get("allow").Follows(gauge.Say("entry.allow-no-part"))
	} else if !m.Get("allow").Given() {
		m.Get("gap").Wrong(gauge.Say("entry.gap-no-purpose"))
	}
}

// byGap checks a place whose part fills a gap less a play.
func (r *procedureReader) byGap(m *shopfile.Map, p *Place) {
	if p.Choose.Aim == AimTable {
		return
	}
	if p.Word == WordResult || !p.Allowed.Given() {
		m.Need("allow").Follows(gauge.Say("entry.allow-needed"))
	} else if p.Allowed.Min == nil && p.Allowed.MinOf == nil || p.Allowed.Max == nil && p.Allowed.MaxOf == nil {
		m.Get("allow").Follows(gauge.Say("entry.allow-both"))
	}
	if !m.Get("choose").Given() {
		m.Need("choose")
	}
}

// byThickness checks a place whose part has a stated thickness.
func (r *procedureReader) byThickness(m *shopfile.Map, p *Place) {
	if m.Get("allow").Given() {
		m.Get("allow").Wrong(gauge.Say("entry.thickness-allow"))
	}
	if !p.ChoosesPart() {
		m.Get("thickness").Wrong(gauge.Say("entry.thickness-no-part"))
	}
	switch p.Choose.Aim {
	case AimNearest, AimThicker, AimThinner:
	case "":
		p.Choose.Aim, p.Choose.Border = AimNearest, BorderInside
	default:
		m.Get("choose").Wrong(gauge.Say("entry.thickness-method"))
	}
	if p.Choose.Pack != nil && p.Within == nil && !(p.Choose.Pack.SumFirst && p.Choose.Aim != AimNearest) {
		m.Get("choose").Wrong(gauge.Say("entry.pack-within"))
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
		v.Wrong(gauge.Say("entry.allow-one"))
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
		how.Wrong(gauge.Say("entry.to-size-table"))
	}
	if c.Aim == AimLikeliest && p.ToSize {
		how.Wrong(gauge.Say("entry.to-size-likeliest"))
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
			none.Wrong(gauge.Say("entry.none-in-table", gauge.Text("none", NoPart)))
		}
	}
	if step := m.Get("step"); step.Given() {
		if c.Step = *step.Positive(r.p.Unit, false); !p.ToSize {
			step.Wrong(gauge.Say("entry.step-to-size"))
		}
	}
	if with := m.Get("measured_with"); with.Given() {
		c.MeasuredWith = with.Text()
		if _, ok := r.p.Instruments[c.MeasuredWith]; !ok {
			with.Wrong(gauge.Say("entry.no-instrument", shopfile.Quoted("instrument", c.MeasuredWith)))
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
		method.Wrong(gauge.Say("entry.method-and-aim"))
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
			aim.Wrong(gauge.Say("entry.no-thickness"))
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
		aim.Wrong(gauge.Say("entry.aim-empty"))
	case c.AimOf == nil && p.Allowed.MinOf == nil && p.Allowed.MaxOf == nil && !p.Allowed.Contains(c.AimPlay):
		aim.Wrong(gauge.Say("entry.aim-outside"))
	}
}

// pack reads how many pieces may be stacked.
func (r *procedureReader) pack(v shopfile.Value, p *Place) *PackRule {
	rule := &PackRule{Least: 1, Most: 10}
	if p.ToSize || p.Choose.Aim == AimTable || p.Choose.Aim.LooksUp() || p.Choose.Aim == AimLikeliest {
		v.Wrong(gauge.Say("entry.pack-no-family"))
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
		v.Wrong(gauge.Say("entry.pack-crossed", gauge.Count("least", rule.Least), gauge.Count("most", rule.Most)))
	}
	return rule
}
