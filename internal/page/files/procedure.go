package files

import (
	"cmp"
	"math/big"
	"regexp"
	"strconv"
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/words"
)

// Procedure is a procedure in the words of a person.
type Procedure struct {
	*procedure.Procedure
	Before, After []Step
	Constants     []Row
	Tables        []Table
	Sums          []Sum // values, and the gap or thickness of each place
	Places        []Place
	Judged        []Sum // before fitting
	Keep          *Sum
	Proof         []Sum // sums and judged results after fitting
	Predicted     string
	Rounds        string   // how many; empty: each measures anew
	Next          []Sum    // how measurements of the next round follow
	Rule          []string // how limits are applied, a sentence each
	Holds         []string // what was checked when it was loaded
}

// Row is a label with what it says.
type Row struct{ Label, Text string }

// Step is one measurement.
type Step struct {
	procedure.Step
	Rows []Row
}

// Sum is one sum with its limits.
type Sum struct {
	Name, Title string
	Formula     string // as it stands in the file
	Words       string // with the titles in the place of the names; empty when that says nothing new
	Limits      string
	Otherwise   string
}

// Place is a place where a part goes.
type Place struct {
	procedure.Place
	Sum  Sum
	Rows []Row
}

// viewer writes texts and keeps the first error.
type viewer struct {
	words words.Words
	p     *procedure.Procedure
	names map[string]string // title by name
	err   error
}

func (v *viewer) say(key string, args ...any) string {
	text, err := v.words.Say(key, args...)
	v.err = cmp.Or(v.err, err)
	return text
}

// ViewProcedure makes a procedure readable.
func ViewProcedure(w words.Words, p *procedure.Procedure) (*Procedure, error) {
	v := viewer{words: w, p: p, names: map[string]string{}}
	for _, steps := range [][]procedure.Step{p.Measure, p.Verify} {
		for _, s := range steps {
			v.names[s.Name] = s.Title
		}
	}
	for _, c := range p.Constants {
		v.names[c.Name] = c.Title
	}
	view := &Procedure{Procedure: p}
	view.Before, view.After = v.steps(p.Measure), v.steps(p.Verify)
	for _, c := range p.Constants {
		view.Constants = append(view.Constants, Row{c.Name, v.constant(c)})
	}
	for _, t := range p.Tables {
		view.Tables = append(view.Tables, v.table(t, t.Printed(nil)))
	}
	for _, n := range p.Values {
		view.Sums = append(view.Sums, v.named(n))
	}
	view.Places = v.places()
	view.Judged = v.judged(p.Judge)
	if p.KeepWhen != nil {
		keep := v.judged([]procedure.Judge{*p.KeepWhen})[0]
		view.Keep = &keep
	}
	for _, n := range p.Proven {
		view.Proof = append(view.Proof, v.named(n))
	}
	view.Proof = append(view.Proof, v.judged(p.Proof)...)
	if p.VerifyPlay != nil {
		view.Proof = append(view.Proof, v.sum(v.say("word.play"), "", p.VerifyPlay.String(), ""))
	}
	if p.PredictedWithin != nil {
		view.Predicted = v.say("proc.predicted", v.length(*p.PredictedWithin, p.Unit))
	}
	if p.GoesOn() == nil {
		view.Rounds, view.Next = v.say("proc.rounds.most", strconv.Itoa(p.Rounds.Most)), v.next()
	}
	view.Rule, view.Holds = v.rule(), v.holds()
	return view, v.err
}

// next is how what is measured in the next round follows from this one.
func (v *viewer) next() (sums []Sum) {
	for _, f := range v.p.Rounds.Next {
		sums = append(sums, v.sum(f.Name, v.names[f.Name], f.Of.String(), ""))
	}
	if len(sums) == 0 {
		sums = append(sums, Sum{Name: v.say("word.gap"), Words: v.say("proc.rounds.usual")})
	}
	return sums
}

func (v *viewer) length(l gauge.Length, u gauge.Unit) string {
	text := v.words.Number(v.p.TextIn(l, u))
	if name := words.Unit(u); name != "" {
		text += " " + name
	}
	return text
}

func (v *viewer) rat(r *big.Rat) string {
	return v.words.Number(strings.TrimSuffix(strings.TrimRight(r.FloatString(6), "0"), "."))
}

// ends writes limits, each a number or a formula.
func (v *viewer) ends(b procedure.Bounds, u gauge.Unit) string {
	end := func(l *gauge.Length, of *formula.Expression) string {
		switch {
		case of != nil:
			return readable(of.String())
		case l != nil:
			return v.length(*l, u)
		}
		return ""
	}
	low, high := end(b.Min, b.MinOf), end(b.Max, b.MaxOf)
	switch {
	case low != "" && high != "":
		return v.say("sheet.from-to", low, high)
	case low != "":
		return v.say("sheet.at-least", low)
	case high != "":
		return v.say("sheet.at-most", high)
	}
	return ""
}

func (v *viewer) steps(steps []procedure.Step) []Step {
	views := make([]Step, len(steps))
	for i, s := range steps {
		views[i] = Step{s, v.stepRows(s)}
	}
	return views
}

// rows collects those labels that have a text.
type rows struct {
	v    *viewer
	rows []Row
}

func (r *rows) add(label, text string) {
	if text != "" {
		r.rows = append(r.rows, Row{r.v.say("proc.row." + label), text})
	}
}

func (v *viewer) stepRows(s procedure.Step) []Row {
	r := &rows{v: v}
	r.add("instrument", v.instrument(s.Instrument))
	r.add("unit", words.Unit(s.Unit))
	r.add("repeats", strconv.Itoa(s.Repeats))
	if s.Agree != nil {
		r.add("agree", v.say("proc.within", v.length(*s.Agree, s.Unit)))
	}
	if s.Closes != nil {
		r.add("closes", v.say("proc.within", v.length(*s.Closes, s.Unit)))
	}
	if len(s.Codes) == 0 && s.Repeats > 1 {
		r.add("take", v.say("proc.take."+words.Key(s.Take)))
	}
	switch s.Play {
	case procedure.PlayFelt:
		r.add("play", v.say("job.play.felt"))
	case procedure.PlayTakenUp:
		r.add("play", v.say("job.play.taken-up"))
	}
	r.add("plausible", v.ends(procedure.Bounds{Limits: s.Plausible}, s.Unit))
	r.add("one-of", v.codes(s))
	if s.Unreadable != nil {
		r.add("unreadable", v.length(*s.Unreadable, s.Unit))
	}
	r.add("when", s.Cases())
	if s.Moving != nil {
		r.add("capture", v.say("proc.capture."+words.Key(s.Moving.Kind)))
	}
	if s.Angle != nil {
		r.add("angle", v.rat(s.Angle.Degrees)+"°")
	}
	if s.Misaligned != nil {
		r.add("misaligned", v.rat(s.Misaligned.Degrees)+"°")
	}
	if s.Material != nil {
		r.add("expansion", v.length(s.Material.PerKelvin, gauge.One)+" · 10⁻⁶/K")
	}
	return r.rows
}

// instrument is how an instrument is called and what is known of it.
func (v *viewer) instrument(name string) string {
	a, ok := v.p.Instruments[name]
	if !ok {
		return name
	}
	var parts []string
	if a.Resolution != nil {
		parts = append(parts, v.say("proc.resolution", v.length(*a.Resolution, a.Unit)))
	}
	if a.Error != nil {
		parts = append(parts, v.say("proc.error", v.length(*a.Error, a.Unit)))
	}
	if a.Varies != nil {
		parts = append(parts, v.say("proc.varies", v.length(*a.Varies, a.Unit)))
	}
	if a.Calibration != nil {
		parts = append(parts, v.say("proc.calibration", v.length(a.Calibration.Uncertainty, a.Unit)))
	}
	if len(parts) == 0 {
		return name
	}
	return name + " (" + strings.Join(parts, "; ") + ")"
}

func (v *viewer) codes(s procedure.Step) string {
	var marks []string
	for _, c := range s.Codes {
		text := c.Mark
		if c.Value != nil {
			text += " = " + v.length(*c.Value, s.Unit)
		}
		marks = append(marks, text)
	}
	return strings.Join(marks, ", ")
}

func (v *viewer) constant(c procedure.Constant) string {
	text := v.words.Number(c.Text)
	if !strings.ContainsAny(c.Text, " ") { // as written, in the file's unit
		text = strings.TrimSpace(text + " " + words.Unit(c.Unit))
	}
	if c.Doubt.Tolerance != nil {
		text += " ± " + v.rat(new(big.Rat).Quo(c.Doubt.Tolerance, new(big.Rat).SetInt64(int64(c.Unit.Size()))))
	}
	if c.Title != "" {
		text += " - " + c.Title
	}
	return text
}

func (v *viewer) sum(name, title, formula, limits string) Sum {
	return Sum{Name: name, Title: title, Formula: readable(formula), Words: v.inWords(formula), Limits: limits}
}

func (v *viewer) named(n procedure.Named) Sum {
	v.names[n.Name] = n.Title
	return v.sum(n.Name, n.Title, procedure.Judge{Named: n}.Formula(), "")
}

func (v *viewer) judged(judges []procedure.Judge) []Sum {
	var views []Sum
	for _, j := range judges {
		view := v.sum(j.Name, j.Title, j.Formula(), v.ends(j.Limits, j.Unit))
		view.Otherwise = j.Otherwise
		if j.Then != "" && j.Then != procedure.ThenReject {
			view.Otherwise = strings.TrimPrefix(view.Otherwise+"; "+v.say("proc.then."+words.Key(j.Then)), "; ")
		}
		views = append(views, view)
	}
	return views
}

// readable writes a formula with the signs that people write.
func readable(formula string) string {
	return strings.NewReplacer("*", "×", "-", "−").Replace(formula)
}

var nameInFormula = regexp.MustCompile(`[A-Za-z][A-Za-z0-9_]*`)

// inWords writes titles in the place of names; empty when there are none.
func (v *viewer) inWords(formula string) string {
	found := false
	text := nameInFormula.ReplaceAllStringFunc(formula, func(name string) string {
		if title := v.names[name]; title != "" && title != name {
			found = true
			return "[" + title + "]"
		}
		return name
	})
	if !found {
		return ""
	}
	return v.words.Number(readable(text))
}
