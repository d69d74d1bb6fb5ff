package procedure

import (
	"gauged/internal/evaluate/drawing"
	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// most bounds lists and counts in a procedure, so that a file cannot make the
// program slow.
const most = 200

// Read reads a procedure file. name is used in problems only. The error lists every
// problem with its place. outcomes are the words for how an evaluation or a judged
// result may end, which examples use. When nothing else is wrong, try looks what comes
// of the procedure; it reports problems to the file. Nil: it is not tried, costs what it
// costs, and may have words of earlier versions.
func Read(name string, content []byte, outcomes []string, try func(*Procedure, *shopfile.Map)) (*Procedure, error) {
	doc := shopfile.Parse(name, content)
	doc.Renew(oldInProcedure, try == nil)
	m := doc.Root().Map()
	doc.SecondColumn(m.Get("second_column"))
	p := &Procedure{Hash: gauge.HashContent(content), Units: map[string]gauge.Unit{}}
	p.ID = m.Need("procedure").Word()
	p.Title = m.Need("title").Text()
	p.Edition = m.Get("edition").Text()
	p.Source = m.Get("source").Text()
	p.Unit = m.Need("unit").Unit()
	p.ConvertUnits = m.Get("other_units").Given() && m.Get("other_units").OneOf("refuse", "convert") == "convert"
	p.Decimals = readDecimals(m.Get("decimals"), p.Unit)
	p.Cautions = m.Get("cautions").Texts()
	p.Drawing = drawing.Read(m.Get("drawing"))

	r := &procedureReader{p: p, stored: try == nil, outcomes: outcomes, seen: shopfile.Names{}, scope: formula.Scope{}, marks: map[string][]Code{}}
	r.abilities(m)
	p.Measure = r.steps(m.Get("measure"))
	r.constants(m.Get("constants"))
	p.Tables = r.tables(m.Get("tables"))
	r.temperature(m.Get("temperature"))
	p.Values = r.values(m.Get("values"))
	r.partNames(m)
	p.Judge = r.judges(m.Get("judge"))
	r.forgetParts()
	r.keepWhen(m.Get("keep_when"))
	r.places(m)
	r.together(m.Get("together"))
	r.verify(m.Get("verify"))
	r.rounds(m.Get("rounds"))
	if len(p.Verify) == 0 {
		r.addedAfter.Wrong(gauge.Say("entry.add-no-proof"))
	}
	r.decision(m.Get("decide"))
	r.coverage(m.Get("coverage"))
	p.Examples = r.examples(m.Get("examples"))
	m.Done()
	if err := doc.Err(); err != nil {
		return nil, err
	}
	if try != nil {
		r.tried(m, try)
	}
	if err := doc.Err(); err != nil {
		return nil, err
	}
	return p, nil
}

// readDecimals returns the decimals to show: the file's, else the usual
// resolution of a bench gauge in that unit.
func readDecimals(v shopfile.Value, u gauge.Unit) int {
	if v.Given() {
		return v.Int(0, 9)
	}
	return map[gauge.Unit]int{gauge.Millimetre: 3, gauge.Inch: 4}[u]
}

// procedureReader keeps the names that later parts of the file may use.
type procedureReader struct {
	p        *Procedure
	outcomes []string
	stored   bool // a version that was in force once
	seen     shopfile.Names
	scope    formula.Scope
	// before are the names that limits after fitting may use besides.
	before     formula.Scope
	marks      map[string][]Code // of the steps that read marks
	terms      int               // of all formulas
	long       []shopfile.Value  // formulas with too many
	parts      []string          // names that stand for the parts of places
	addedAfter shopfile.Value    // the last place where something is added after the proof
}

// name takes a new name of the dimension chain: letters, digits and _.
func (r *procedureReader) name(key shopfile.Value) string {
	name := key.Text()
	switch {
	case !formula.IsName(name):
		key.Causes(gauge.Say("entry.name-in-sum", shopfile.Quoted("name", name)))
	case formula.IsFunction(name):
		key.Wrong(gauge.Say("entry.name-function", shopfile.Quoted("name", name)))
	}
	r.seen.Take(key, func(at gauge.Arg) gauge.Message { return gauge.Say("entry.name-taken", key.As("name"), at) })
	return name
}

// know lets later formulas use a name, and says in which unit it is shown.
func (r *procedureReader) know(name string, of formula.Dimension, u gauge.Unit, step bool) {
	r.scope[name] = formula.Meaning{Of: of, Step: step}
	r.p.Units[name] = u
}

// readLimits reads an interval of which at least one end is given.
func readLimits(v shopfile.Value, u gauge.Unit) Limits {
	if !v.Given() {
		return Limits{}
	}
	m := v.Map()
	var limits Limits
	if low := m.Get("min"); low.Given() {
		l := low.Length(u)
		limits.Min = &l
	}
	if high := m.Get("max"); high.Given() {
		l := high.Length(u)
		limits.Max = &l
	}
	if v.IsMap() && !limits.Limited() {
		v.Wrong(gauge.Say("entry.limits-empty"))
	}
	checkOrder(v, m, limits)
	m.Done()
	return limits
}

func checkOrder(v shopfile.Value, m *shopfile.Map, limits Limits) {
	if limits.Min != nil && limits.Max != nil && *limits.Min > *limits.Max {
		v.Wrong(gauge.Say("entry.limits-crossed", m.Get("min").As("min"), m.Get("max").As("max")))
	}
}

// verify reads the proof after fitting. Its sums may use what is measured
// after fitting and the constants, not what was measured before; the limits of its
// results may.
func (r *procedureReader) verify(v shopfile.Value) {
	if !v.Given() {
		return
	}
	m := v.Map()
	if !r.p.ChoosesPart() {
		v.Wrong(gauge.Say("entry.verify-nothing"))
	}
	before := r.scope
	r.before, r.scope = before, formula.Scope{}
	for _, c := range r.p.Constants {
		r.scope[c.Name] = before[c.Name]
	}
	for _, t := range r.p.Tables {
		r.scope[t.Name] = before[t.Name]
	}
	r.p.Verify = r.steps(m.Need("measure"))
	r.p.Proven = r.values(m.Get("values"))
	r.p.Proof = r.judges(m.Get("judge"))
	play := m.Get("play")
	if !play.Given() && len(r.p.Proof) == 0 {
		play = m.Need("play")
	}
	r.p.VerifyPlay = r.formula(play, &formula.Length)
	if within := m.Get("predicted_within"); within.Given() {
		r.p.PredictedWithin = within.Positive(r.p.Unit, false)
	}
	m.Done()
	if play.Given() && !r.p.Allowed.Given() && r.p.ChoosesPart() {
		v.Wrong(gauge.Say("entry.verify-no-limits"))
	}
}
