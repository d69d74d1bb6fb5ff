package files

import (
	"strconv"
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/words"
)

// Comparison is one result under two versions.
type Comparison struct{ Label, Then, Now string }

// Differs reports whether the versions disagree.
func (c Comparison) Differs() bool { return c.Then != c.Now }

// Compare sets the results under two versions beside each other.
func Compare(w words.Words, then *procedure.Procedure, a evaluate.Evaluation, now *procedure.Procedure, b evaluate.Evaluation) ([]Comparison, error) {
	before, after := viewer{words: w, p: then}, viewer{words: w, p: now}
	var all []Comparison
	at := map[string]int{}
	for _, r := range before.results(a) {
		at[r.Label] = len(all)
		all = append(all, Comparison{Label: r.Label, Then: r.Text})
	}
	for _, r := range after.results(b) {
		if i, ok := at[r.Label]; ok {
			all[i].Now = r.Text
		} else {
			all = append(all, Comparison{Label: r.Label, Now: r.Text})
		}
	}
	if before.err != nil {
		return nil, before.err
	}
	return all, after.err
}

// results lists what came out, each under a label of its own.
func (v *viewer) results(e evaluate.Evaluation) []Row {
	if e.Outcome == "" {
		return nil
	}
	all := []Row{{v.say("edit.outcome"), v.say("outcome." + words.Key(e.Outcome))}}
	add := func(label, text string) { all = append(all, Row{label, text}) }
	for _, m := range e.Measurements {
		switch {
		case m.Mark != "":
			add(m.Name, m.Mark)
		case m.Value != nil:
			add(m.Name, v.length(*m.Value, m.Unit))
		}
	}
	for _, s := range e.Sums {
		add(v.words.Tell(doubt.Result(s.Name))+" =", v.length(s.Value, s.Unit))
	}
	for _, j := range e.Judgements {
		text := v.say("outcome." + words.Key(j.Outcome))
		if j.Mark == "" {
			text = v.length(j.Word().Called(j.Value), j.Unit) + ", " + text
		}
		add(v.say("edit.judged", v.words.Tell(doubt.Result(j.Name))), text)
	}
	for _, f := range e.EachFit() {
		v.fit(f, add)
	}
	if c := e.Verification; c != nil {
		add(v.say("edit.measured"), v.length(v.p.Word.Called(c.Measured), v.p.Unit))
		if c.Predicted != nil {
			add(v.say("sheet.head.predicted"), v.length(v.p.Word.Called(*c.Predicted), v.p.Unit))
		}
	}
	add(v.say("sheet.findings"), strconv.Itoa(len(e.Findings)))
	return all
}

func (v *viewer) fit(f *evaluate.Fit, add func(label, text string)) {
	place, _ := v.p.PlaceNamed(f.Place)
	at := ""
	if f.Place != "" {
		at = " (" + f.Place + ")"
	}
	if f.Allowed.Limited() {
		add(v.say("sheet.head.allowed")+at, v.ends(procedure.Bounds{Limits: place.Word.CalledLimits(f.Allowed)}, v.p.Unit))
	}
	if f.Window != nil {
		add(v.say("edit.window")+at, v.ends(procedure.Bounds{Limits: *f.Window}, v.p.Unit))
	}
	if f.Aim != nil {
		add(v.say("edit.aim")+at, v.length(*f.Aim, v.p.Unit))
	}
	if part := f.Recommended(); part != "" {
		add(v.say("sheet.head.part")+at, part)
	}
	if c := f.Choice; c != nil && c.Probability != nil {
		text := strings.NewReplacer("over ", "> ", "under ", "< ").Replace(c.Probability.String())
		add(v.say("sheet.head.inside")+at, v.words.Number(text))
	}
}
