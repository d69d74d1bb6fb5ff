package procedure

import (
	"errors"
	"maps"
	"math/big"
	"slices"
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

func (r *procedureReader) constants(v shopfile.Value) {
	if !v.Given() {
		return
	}
	for _, e := range v.Map().Entries() {
		c := Constant{Name: r.name(e.Key), Unit: r.p.Unit, of: formula.Length}
		value := e.Value
		if value.IsMap() {
			m := value.Map()
			value = m.Need("value")
			c.Title = m.Get("title").Text()
			r.constant(&c, value, m.Get("unit"))
			r.constantDoubts(m, &c)
			m.Done()
		} else {
			r.constant(&c, value, shopfile.Value{})
		}
		r.p.Constants = append(r.p.Constants, c)
		r.know(c.Name, c.of, c.Unit, false)
		r.scope[c.Name] = formula.Meaning{Of: c.of, Value: c.Exact}
	}
}

// constant reads a value in the procedure's unit, in another, or in a quotient
// of two units.
func (r *procedureReader) constant(c *Constant, value, unit shopfile.Value) {
	if !unit.Given() {
		c.Value = value.Length(r.p.Unit)
		c.Text = r.p.Text(c.Value)
		c.Exact = new(big.Rat).SetInt64(int64(c.Value))
		return
	}
	of, size, err := formula.ParseUnits(unit.Text())
	if err != nil {
		unit.Wrong(gauge.Told(err))
		return
	}
	if c.of = of; !strings.Contains(unit.Text(), "/") {
		c.Unit = unit.AnyUnit()
		c.Value = value.Length(c.Unit)
		c.Text = r.p.TextWithUnit(c.Value, c.Unit)
		c.Exact = formula.Exact(c.Value, c.Unit)
		return
	}
	c.Unit = gauge.UnitUnknown
	c.Text = value.Text()
	c.Exact = size.Mul(size, decimal(value))
}

// decimal reads a plain decimal number exactly.
func decimal(v shopfile.Value) *big.Rat {
	text := v.Text()
	if !formula.IsNumber(strings.TrimPrefix(text, "-")) {
		v.Wrong(gauge.Say("entry.no-decimal", shopfile.Quoted("text", text)))
		return new(big.Rat)
	}
	n, _ := new(big.Rat).SetString(text)
	return n
}

// values reads intermediate results, each from names that stand above.
func (r *procedureReader) values(v shopfile.Value) []Named {
	if !v.Given() {
		return nil
	}
	var all []Named
	for _, e := range v.Map().Entries() {
		n := Named{}
		if e.Value.IsMap() {
			m := e.Value.Map()
			n = r.named(m, e.Value, m.Get("value"))
			r.everyCase(m.Get("cases"), n)
			n.Play, n.LeastPlay = readPlay(m.Get("play"), n.Unit, false)
			m.Done()
		} else {
			x := r.formula(e.Value, nil)
			n = r.of(e.Value, []Formula{{Expression: x}}, shopfile.Value{})
		}
		n.Name = r.name(e.Key)
		r.knowNamed(n)
		all = append(all, n)
	}
	if len(all) > most {
		v.Wrong(gauge.Say("entry.values-many", gauge.Count("most", most)))
	}
	return all
}

func (r *procedureReader) knowNamed(n Named) {
	if x := n.Formulas[0].Expression; x != nil {
		r.know(n.Name, x.Of, n.Unit, false)
	}
}

// named reads a result: value, or by and cases; title and unit.
func (r *procedureReader) named(m *shopfile.Map, v, value shopfile.Value) Named {
	unit, by := m.Get("unit"), m.Get("by")
	var want *formula.Dimension
	if unit.Given() {
		d := formula.DimensionOf(unit.AnyUnit())
		want = &d
	}
	var formulas []Formula
	switch {
	case by.Given():
		if value.Given() {
			value.Wrong(gauge.Say("entry.value-and-cases"))
		}
		formulas = r.cases(by, m.Need("cases"), want)
	case value.Given():
		formulas = []Formula{{Expression: r.formula(value, want)}}
	default:
		v.Wrong(gauge.Say("entry.value-missing"))
		formulas = []Formula{{}}
	}
	n := r.of(v, formulas, unit)
	n.Title = m.Get("title").Text()
	return n
}

// cases reads one formula for each mark of a step.
func (r *procedureReader) cases(by, v shopfile.Value, want *formula.Dimension) []Formula {
	var formulas []Formula
	for _, e := range v.Map().Entries() {
		f := Formula{Case: r.mark(by, e.Key), Expression: r.formula(e.Value, want)}
		if x := f.Expression; x != nil && want == nil {
			want = &x.Of
		}
		formulas = append(formulas, f)
	}
	if len(formulas) == 0 {
		return []Formula{{}}
	}
	return formulas
}

// everyCase looks for a formula for each mark, because what is computed from a
// value needs it in every case.
func (r *procedureReader) everyCase(v shopfile.Value, n Named) {
	for _, code := range r.marks[n.Formulas[0].Case.Step] {
		if !slices.ContainsFunc(n.Formulas, func(f Formula) bool { return f.Case.Mark == code.Mark }) {
			v.Wrong(gauge.Say("entry.case-missing", shopfile.Quoted("mark", code.Mark), gauge.Text("step", n.Formulas[0].Case.Step)))
		}
	}
}

// of settles the unit in which a result is shown.
func (r *procedureReader) of(v shopfile.Value, formulas []Formula, unit shopfile.Value) Named {
	n := Named{Formulas: formulas}
	if unit.Given() {
		n.Unit = unit.AnyUnit()
	} else if x := formulas[0].Expression; x != nil {
		if n.Unit = x.Of.Usual(r.p.Unit); !n.Unit.Known() {
			v.Wrong(gauge.Say("entry.value-no-unit", gauge.Word("is", x.Of.Word())))
		}
	}
	return n
}

// formula reads an expression of names that stand above.
func (r *procedureReader) formula(v shopfile.Value, want *formula.Dimension) *formula.Expression {
	text := v.Text()
	if text == "" || !r.p.Unit.Known() {
		return nil
	}
	e, err := formula.Parse(text, r.p.Unit, r.scope, want)
	var unknown *formula.UnknownNameError
	switch {
	case errors.As(err, &unknown):
		v.Follows(gauge.Told(err))
		return nil
	case err != nil:
		v.Wrong(gauge.Say("entry.formula", shopfile.Quoted("formula", shortened(text)), gauge.Because("why", err)))
		return nil
	}
	if r.terms += e.Size(); e.Size() > mostTerms {
		r.long = append(r.long, v)
	}
	return e
}

// judges reads results with limits of their own.
func (r *procedureReader) judges(v shopfile.Value) []Judge {
	if !v.Given() {
		return nil
	}
	var judges []Judge
	for _, e := range v.Map().Entries() {
		j := r.judge(e.Key, e.Value)
		judges = append(judges, j)
	}
	if len(judges) > most {
		v.Wrong(gauge.Say("entry.judges-many", gauge.Count("most", most)))
	}
	return judges
}

// judge reads one. Without a formula it judges the measurement or value of its
// own name.
func (r *procedureReader) judge(key, v shopfile.Value) Judge {
	m := v.Map()
	j := Judge{Then: ThenReject, Otherwise: m.Get("otherwise").Text()}
	if then := m.Get("then"); then.Given() {
		j.Then = Consequence(then.OneOf(string(ThenReject), string(ThenAgain), string(ThenWrong), string(ThenAdvise)))
	}
	switch is, value := m.Get("is"), m.Get("value"); {
	case is.Given():
		step := key
		if value.Given() {
			step = value
		}
		c := r.mark(step, is)
		j.Named, j.Is = Named{Name: c.Step, Title: m.Get("title").Text(), Unit: gauge.One}, c.Mark
		if value.Given() {
			j.Name = r.name(key)
		}
		j.Formulas = []Formula{{Case: c}}
	case value.Given() || m.Get("by").Given():
		j.Named = r.named(m, v, value)
		j.Name = r.name(key)
		j.Limits = r.bounds(m, v, j.Unit)
		r.knowNamed(j.Named)
	default:
		j.Named = r.of(v, []Formula{{Expression: r.formula(key, nil)}}, m.Get("unit"))
		j.Name, j.Title = key.Text(), m.Get("title").Text()
		if shown := r.p.Units[j.Name]; shown.Known() {
			j.Unit = shown
		}
		j.Limits = r.bounds(m, v, j.Unit)
	}
	m.Done()
	return j
}

// bounds reads min and max, each a number in unit u or a formula.
func (r *procedureReader) bounds(m *shopfile.Map, v shopfile.Value, u gauge.Unit) Bounds {
	var b Bounds
	b.Min, b.MinOf = r.bound(m.Get("min"), u)
	b.Max, b.MaxOf = r.bound(m.Get("max"), u)
	if v.IsMap() && !b.Given() {
		v.Wrong(gauge.Say("entry.limits-empty"))
	}
	checkOrder(v, m, b.Limits)
	return b
}

func (r *procedureReader) bound(v shopfile.Value, u gauge.Unit) (*gauge.Length, *formula.Expression) {
	if !v.Given() {
		return nil, nil
	}
	if v.IsMap() || looksLikeNumber(v.Text()) {
		l := v.Length(u)
		return &l, nil
	}
	d := formula.DimensionOf(u)
	now := r.scope
	if r.before != nil {
		r.scope = maps.Clone(r.before)
		maps.Copy(r.scope, now)
	}
	x := r.formula(v, &d)
	r.scope = now
	return nil, x
}

// looksLikeNumber tells a number that may be mistyped from a formula.
func looksLikeNumber(text string) bool {
	return text == "" || !strings.ContainsAny(text, formula.Letters) || text == "NaN" || strings.ContainsAny(text[:1], formula.Digits) && !strings.ContainsAny(text, "*/()")
}

func (r *procedureReader) keepWhen(v shopfile.Value) {
	if !v.Given() {
		return
	}
	m := v.Map()
	j := Judge{Named: r.named(m, v, m.Need("value")), Then: ThenAdvise}
	j.Name = "as found"
	j.Limits = r.bounds(m, v, j.Unit)
	m.Done()
	r.p.KeepWhen = &j
}
