package evaluate

import (
	"slices"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// Foretold is what a part would leave at a place, before it is fitted there.
type Foretold struct {
	procedure.Fitted                   // the part, with the thickness that counts: measured, else nominal
	Recommended      string            // what is recommended there; empty for nothing, and for a part made to size
	Word             procedure.Word    // how the closing dimension is called
	Window           *procedure.Limits // of thickness
	Allowed          procedure.Limits  // of the play
	Play             *gauge.Length     // negative is a preload; nil where nothing tells
	Between          *procedure.Limits // of the play, where a reading is an interval
	Worst            *procedure.Limits // of the play, wherever part and constants are within their stated tolerances
	Probability      *Probability      // that it ends inside the limits
	DecisionRule     gauge.Message     // by which that is decided
	Unstated         []string          // measurements whose gauge's error is not stated
	Fits             bool
	// Unexpected says that a person should be asked before it is fitted: it is not
	// the recommended part, or does not fit, or is not as thick as is stated of it.
	Unexpected bool
	Warnings   []Finding
	Says       gauge.Message // all of it but the warnings, in a sentence
}

// Foretell says what a part would leave at a place, as the evaluation would say
// once it is fitted there. A thickness of f is measured. Of the input count what
// was measured before fitting, and what is fitted at other places. An error means
// what it means to Evaluate, or that what should be fitted there is not known yet.
func Foretell(p *procedure.Procedure, parts procedure.Parts, in compute.Input, f procedure.Fitted) (Foretold, error) {
	in = in.Before(p, f.Place)
	without, err := Evaluate(p, parts, in)
	if err != nil {
		return Foretold{}, err
	}
	in.Fitted = append(in.Fitted, f)
	w, err := worked(p, parts, in, func(*work) {})
	if err != nil {
		return Foretold{}, err
	}
	i := slices.IndexFunc(w.fits, func(at *fitting) bool { return at.place.Name == f.Place })
	switch {
	case i < 0:
		return Foretold{}, gauge.Refused("refusal.part.not-known-yet")
	case w.fits[i].fit.Waits != "":
		return Foretold{}, gauge.Refused("refusal.part.waits", gauge.Text("place", f.Place), gauge.Text("other", w.fits[i].fit.Waits))
	}
	more := slices.DeleteFunc(slices.Clone(w.e.Findings), func(f Finding) bool { return slices.ContainsFunc(without.Findings, f.Equal) })
	return w.fits[i].foretell(f, more), nil
}

// foretell is what the part leaves that was taken up as fitted; warnings are
// those that came with it.
func (w *fitting) foretell(f procedure.Fitted, warnings []Finding) Foretold {
	before := len(w.e.Findings)
	if w.fit.Fitted == nil { // no place of those chosen together could be filled
		w.fitted(f)
	}
	t := Foretold{
		Fitted: *w.fit.Fitted, Recommended: w.fit.Recommended(), Word: w.place.ClosingWord(), Window: w.fit.Window,
		Allowed: w.fit.Allowed, DecisionRule: w.fit.Rule, Fits: w.suits(*w.fit.Fitted),
	}
	if t.Thickness != nil {
		parts, own := w.pieces(t.Fitted)
		if w.gapUnit().Kind() == gauge.KindLength {
			t.Play = w.playWith(*t.Thickness)
		}
		if t.Play != nil {
			t.Between = w.fit.Between.Less(*t.Thickness)
			t.Worst, t.Probability = w.foretoldWith(parts, own, *t.Play)
			w.doubtfulWith(parts, own, t.Probability, t.Worst)
		}
		t.Fits = t.Fits && !w.surely(parts, t.Worst, t.Probability)
		w.strays(parts)
		t.Unstated = w.fit.Unstated
	}
	w.notInStock(t.Part)
	t.Warnings = warnings
	for _, f := range w.e.Findings[before:] {
		if !slices.ContainsFunc(t.Warnings, f.Equal) {
			t.Warnings = append(t.Warnings, f)
		}
	}
	other := !w.place.ToSize && !w.fit.Recommends(t.Part)
	t.Unexpected = other || !t.Fits || slices.ContainsFunc(t.Warnings, func(f Finding) bool { return f.Code == FindingThickness })
	t.Says = w.says(t, other)
	return t
}

// pieces are the parts that were fitted, and what is not known of them: by the
// instrument with which they were measured together, else by what is stated of each.
func (w *fitting) pieces(f procedure.Fitted) (compute.Pieces, []uncertainty.Input) {
	if f.Measured || w.family == nil || f.Part == procedure.NoPart {
		with := ""
		if f.Measured {
			with = w.place.Choose.MeasuredWith
		}
		return compute.Pieces{{Part: f.Part, Thickness: f.Thickness}}, w.doubts.Measured(with)
	}
	parts, _ := w.family.PiecesOf(f.Part)
	return parts, doubt.InputsOf(parts)
}

// suits reports whether what is fitted is right here, by the rule by which a part
// is chosen.
func (w *fitting) suits(f procedure.Fitted) bool {
	i := slices.IndexFunc(w.fit.Candidates, func(c Candidate) bool { return c.Part == f.Part })
	none := f.Part == procedure.NoPart && w.place.Choose.None
	switch aim := w.place.Choose.Aim; {
	case aim == procedure.AimTable, aim.LooksUp():
		if i < 0 || !w.fit.Candidates[i].Fits {
			return false
		}
		return f.Thickness == nil || w.fit.Gap == nil || !w.fit.Allowed.Limited() || w.fit.Allowed.Contains(*w.fit.Gap-*f.Thickness)
	case f.Thickness == nil:
		return false
	case w.unbounded() && !w.place.ToSize && w.place.Choose.Pack == nil:
		return i >= 0 && w.inWindow(*f.Thickness) && w.belongsAs(i, *f.Thickness)
	case w.fit.Window == nil:
		return w.unbounded() && w.outcome == FitPart
	case w.place.Choose.Pack != nil && !none && !w.mayStack(f.Part):
		return false
	}
	return (i >= 0 || w.place.ToSize || w.place.Choose.Pack != nil || none) && w.inWindow(*f.Thickness)
}

// mayStack reports whether a pack has as many pieces as the procedure allows.
func (w *fitting) mayStack(pack string) bool {
	n, rule := len(procedure.PieceNames(pack)), w.place.Choose.Pack
	if n >= rule.Least && n <= rule.Most {
		return true
	}
	w.tell(FindingOtherPart, "found.pack_of_other_size", gauge.Text("pack", pack), gauge.Count("n", n), gauge.Count("least", rule.Least), gauge.Count("most", rule.Most))
	return false
}

// notInStock points out what of the parts cannot be had.
func (w *fitting) notInStock(part string) {
	if w.family == nil {
		return
	}
	parts, _ := w.family.PiecesOf(part)
	wanted := map[string]int{}
	for _, g := range parts {
		if wanted[g.Part]++; g.Stock != nil && wanted[g.Part] == *g.Stock+1 {
			if place, taken := w.goesTo(g); taken {
				w.pieceTaken(g, place)
				continue
			}
			w.tell(FindingOutOfStock, "found.not_so_many", w.P.TellGrade("grade", g))
		}
	}
}

// says is all that is foretold of a part, but the warnings.
func (w *fitting) says(t Foretold, other bool) gauge.Message {
	key, named := "foretold.part", []gauge.Arg{gauge.Text("part", t.Part)}
	if t.Measured {
		key = "foretold.part_measured"
	}
	if t.Thickness != nil && t.Part != procedure.NoPart {
		named = append(named, w.P.Tell("thickness", *t.Thickness))
	}
	part := gauge.Nested("part", gauge.Say(key, named...))
	says := gauge.Say("foretold.alone", part)
	switch {
	case t.Play != nil:
		args := append(w.tellBeside(t.Play, t.Between, t.Worst), part)
		if t.Probability != nil {
			args = append(args, procedure.Chance("probability", *t.Probability))
		}
		says = gauge.Say("foretold.leaves", args...)
	case t.Thickness == nil && !t.Fits:
		says = gauge.Say("foretold.unknown", part)
	}
	all := []gauge.Message{says}
	if !t.Fits {
		all = append(all, gauge.Say("foretold.misfit"))
	}
	if other && t.Recommended != "" {
		all = append(all, gauge.Say("foretold.recommended", gauge.Text("part", t.Recommended)))
	}
	return w.atPlace(gauge.Sentences(all...))
}
