package files

import (
	"slices"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/words"
)

// places describes where parts go, or the gap that is judged by itself.
func (v *viewer) places() []Place {
	places := v.p.EachPlace()
	if len(places) == 0 && v.p.Gap != nil {
		places = []procedure.Place{v.p.Place}
	}
	var views []Place
	for _, place := range places {
		view := Place{Place: place, Rows: v.placeRows(place)}
		name, formula := v.say("word.gap"), place.Gap.String()
		if place.Thickness != nil {
			name, formula = v.say("sheet.head.thickness"), place.Thickness.String()
		}
		view.Sum = v.sum(name, "", formula, "")
		views = append(views, view)
	}
	return views
}

func (v *viewer) placeRows(p procedure.Place) []Row {
	r := &rows{v: v}
	if p.Allowed.Given() {
		r.add("allow."+string(p.Word), v.ends(p.Stated(), v.p.Unit))
	}
	if p.Within != nil {
		r.add("within", v.length(*p.Within, v.p.Unit))
	}
	if !p.ChoosesPart() {
		return r.rows
	}
	r.add("family", p.Parts)
	if p.ToSize {
		r.add("part", v.say("proc.tosize"))
	}
	r.add("method", v.method(p.Choose))
	c := p.Choose
	if pack := c.Pack; pack != nil {
		text := v.say("proc.pack", pack.Least, pack.Most)
		if pack.SumFirst {
			text += ", " + v.say("proc.pack.sum")
		}
		r.add("pack", text)
	}
	if c.Step != 0 {
		r.add("step", v.length(c.Step, v.p.Unit))
	}
	if p.Parts != "" && c.Aim != procedure.AimTable && !c.Aim.LooksUp() {
		tie, at := "proc.tie.thinner", "proc.at-limit.fits"
		if c.TieThicker {
			tie = "proc.tie.thicker"
		}
		if c.Border == procedure.BorderOutside {
			at = "proc.at-limit.not"
		}
		r.add("tie", v.say(tie))
		r.add("at-limit", v.say(at))
	}
	if c.None {
		r.add("none", v.say("proc.none.allowed"))
	}
	if p.AddAfter != nil {
		r.add("after-proof", v.length(*p.AddAfter, v.p.Unit))
	}
	r.add("measured", c.MeasuredWith)
	return r.rows
}

// method says how one of several parts is preferred.
func (v *viewer) method(c procedure.Choose) string {
	if c.Aim != procedure.AimPlay {
		if c.Aim == "" {
			return ""
		}
		return v.say("proc.method." + words.Key(c.Aim))
	}
	word, value := "word.play", c.AimPlay
	if c.AimNegated {
		word, value = "word.preload", -value
	}
	if c.AimOf != nil {
		return v.say(word) + " " + readable(c.AimOf.String())
	}
	return v.say(word) + " " + v.length(value, v.p.Unit)
}

// rule says how limits are applied.
func (v *viewer) rule() []string {
	var rule []string
	switch d := v.p.Decide; {
	case !d.Stated:
		rule = append(rule, v.say("proc.decide.usual"))
	case d.Simple:
		rule = append(rule, v.say("proc.decide.simple"))
	default:
		rule = append(rule, v.say("proc.decide.guard", v.words.Number(d.Required.String())))
	}
	if t := v.p.Together; t != nil {
		key := "proc.together.total"
		if t.SplitFirst {
			key = "proc.together.split"
		}
		rule = append(rule, v.say(key))
	}
	if t := v.p.Temperature; t != nil {
		rule = append(rule, v.say("proc.temperature", readable(t.Of.String())))
	}
	if v.p.ConvertUnits {
		return append(rule, v.say("proc.convert"))
	}
	return append(rule, v.say("proc.refuse", words.Unit(v.p.Unit)))
}

// holds lists what loading has checked of this procedure.
func (v *viewer) holds() []string {
	holds := []string{v.say("proc.holds.names"), v.say("proc.holds.dimensions")}
	add := func(applies bool, key string) {
		if applies {
			holds = append(holds, v.say("proc.holds."+key))
		}
	}
	places := v.p.EachPlace()
	any := func(f func(procedure.Place) bool) bool { return slices.ContainsFunc(places, f) }
	add(v.p.Allowed.Given() || any(func(p procedure.Place) bool { return p.Allowed.Given() }), "limits")
	add(any(func(p procedure.Place) bool { return p.Parts != "" && !p.Choose.Aim.LooksUp() }), "family")
	add(any(func(p procedure.Place) bool { return p.Choose.Aim == procedure.AimCode }), "marks")
	add(any(func(p procedure.Place) bool { return p.Choose.Aim == procedure.AimChart }), "chart")
	add(len(v.p.Verify) > 0, "verify")
	add(len(v.p.Examples) > 0, "examples")
	drawn := func(s procedure.Step) bool { return s.Drawing != nil }
	add(v.p.Drawing != nil || slices.ContainsFunc(v.p.Measure, drawn) || slices.ContainsFunc(v.p.Verify, drawn), "drawings")
	return append(holds, v.say("proc.holds.whole"))
}
