package vet

import (
	"maps"
	"slices"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Doubtful lists what a procedure states or measures and nothing uses, what a sum
// uses although it may be left out, and tables that do not go together with what is
// plausible: each is most often something forgotten. None of it
// makes a procedure wrong.
func Doubtful(p *procedure.Procedure) (notes []gauge.Message) {
	u := use{w: compute.New(p, compute.Input{}), names: map[string]bool{}, instruments: map[string]bool{}}
	u.everything()
	for _, s := range slices.Concat(p.Measure, p.Verify) {
		u.instruments[s.Instrument] = true
		if !u.names[s.Name] && len(s.Codes) == 0 && !u.looksUp {
			notes = append(notes, gauge.Say("note.step-unused", gauge.Text("step", s.Name)))
		}
	}
	for _, c := range p.Constants {
		if !u.names[c.Name] {
			notes = append(notes, gauge.Say("note.constant-unused", gauge.Text("constant", c.Name)))
		}
	}
	for _, name := range slices.Sorted(maps.Keys(p.Instruments)) {
		if !u.instruments[name] {
			notes = append(notes, gauge.Say("note.instrument-unused", gauge.Text("instrument", name)))
		}
	}
	return slices.Concat(notes, u.leftOut, outsideTables(p))
}

// use is what counts in a procedure.
type use struct {
	w                  *compute.Job
	names, instruments map[string]bool
	looksUp            bool // measurements give a part by a table of its family
	leftOut            []gauge.Message
}

func (u *use) everything() {
	p := u.w.P
	for _, place := range append(p.EachPlace(), p.Place) {
		u.looksUp = u.looksUp || place.Choose.Aim.LooksUp()
		u.instruments[place.Choose.MeasuredWith] = true
		u.w.Reached(place.Choose.AimOf, u.names)
		u.limits(place.Allowed)
		for _, x := range []*formula.Expression{place.Gap, place.Thickness} {
			u.w.Reached(x, u.names)
			u.sum(x, nil)
		}
	}
	for _, judges := range [][]procedure.Judge{p.Judge, p.Proof} {
		for _, j := range judges {
			u.judge(j)
		}
	}
	if p.KeepWhen != nil {
		u.judge(*p.KeepWhen)
	}
	u.w.Reached(p.VerifyPlay, u.names)
	if len(p.EachPlace()) == 0 && p.Gap == nil && len(p.Judge) == 0 { // the values are what is wanted
		for _, v := range p.Values {
			u.judge(procedure.Judge{Named: v})
		}
	}
	if p.Temperature != nil {
		u.w.Reached(p.Temperature.Of, u.names)
	}
}

func (u *use) judge(j procedure.Judge) {
	u.limits(j.Limits)
	for _, f := range j.Formulas {
		u.w.Reached(f.Expression, u.names)
	}
	u.names[j.Name] = true // last: a formula may be this name alone
}

func (u *use) limits(b procedure.Bounds) {
	u.w.Reached(b.MinOf, u.names)
	u.w.Reached(b.MaxOf, u.names)
}

// sum looks for measurements that are left out in a case in which a sum uses them.
func (u *use) sum(x *formula.Expression, cases []procedure.Case) {
	if x == nil {
		return
	}
	for _, name := range x.Names() {
		if s, _, ok := u.w.P.Step(name); ok {
			for _, c := range s.When {
				note := gauge.Say("note.left-out", gauge.Text("step", name), gauge.Text("by", c.Step), gauge.Text("mark", c.Mark))
				if !slices.Contains(cases, c) && !slices.ContainsFunc(u.leftOut, note.Equal) {
					u.leftOut = append(u.leftOut, note)
				}
			}
			continue
		}
		for _, f := range u.w.P.FormulasOf(name) {
			u.sum(f.Expression, append(slices.Clone(cases), f.Case))
		}
	}
}

// DoubtfulWith lists what the families of a procedure leave in doubt: rows of a table
// whose part is not allowed for all the gaps that they serve, and places with too many
// combinations to try. Families that parts does not have are not looked at. None of it
// makes a procedure wrong.
func DoubtfulWith(p *procedure.Procedure, parts procedure.Parts) []gauge.Message {
	return append(p.DoubtfulRows(parts), tooManyOf(p, parts)...)
}
