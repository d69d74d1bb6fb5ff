package evaluate

import (
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// most bounds lists and counts in a procedure, so that a file cannot make the
// program slow.
const most = 200

// ReadProcedure reads a procedure file. name is used in problems only. The
// error lists every problem with its place.
func ReadProcedure(name string, content []byte) (*Procedure, error) {
	doc := shopfile.Parse(name, content)
	m := doc.Root().Map()
	p := &Procedure{Hash: gauge.HashContent(content)}
	p.ID = m.Need("procedure").Word()
	p.Title = m.Need("title").Text()
	p.Edition = m.Get("edition").Text()
	p.Source = m.Get("source").Text()
	p.Unit = m.Need("unit").Unit()
	p.ConvertUnits = m.Get("other_units").Given() && m.Get("other_units").OneOf("refuse", "convert") == "convert"
	p.Decimals = readDecimals(m.Get("decimals"), p.Unit)
	p.Cautions = m.Get("cautions").Texts()

	r := &procedureReader{p: p, seen: map[string]shopfile.Value{}}
	p.Measure = r.steps(m.Get("measure"))
	r.constants(m.Get("constants"))
	r.values(m.Get("values"))
	p.Gap = r.expression(m.Need("gap"), r.seen)
	r.allow(m.Get("allow"))
	r.part(m)
	r.verify(m.Get("verify"))
	m.Done()
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
	p    *Procedure
	seen map[string]shopfile.Value
}

// name takes a new name of the dimension chain: letters, digits and _.
func (r *procedureReader) name(key shopfile.Value) string {
	name := key.Text()
	tokens, err := scan(name)
	if err != nil || len(tokens) != 2 || tokens[0].kind != tokenName {
		key.Problemf("%q cannot stand in a sum: use letters, digits and _, beginning with a letter", name)
	}
	if before, ok := r.seen[name]; ok {
		key.Problemf("the name %q is taken, see %s", name, before.Position())
	}
	r.seen[name] = key
	return name
}

func (r *procedureReader) steps(v shopfile.Value) []Step {
	var steps []Step
	if !v.Given() {
		return nil
	}
	for _, e := range v.Map().Entries() {
		m := e.Value.Map()
		s := Step{
			Name:       r.name(e.Key),
			Title:      m.Need("title").Text(),
			How:        m.Get("how").Text(),
			Instrument: m.Get("instrument").Text(),
			Repeats:    1,
			Take:       TakeMean,
			Plausible:  readLimits(m.Get("plausible"), r.p.Unit),
		}
		if v := m.Get("repeats"); v.Given() {
			s.Repeats = v.Int(1, most)
		}
		if v := m.Get("take"); v.Given() {
			s.Take = Take(v.OneOf("mean", "median", "smallest", "largest", "range"))
		}
		if v := m.Get("agree"); v.Given() {
			s.Agree = r.positive(v, true)
			if s.Repeats < 2 {
				v.Problemf("readings can only agree when there are at least two: set repeats to 2 or more")
			}
		}
		if s.Take == TakeRange && s.Repeats < 2 {
			e.Value.Problemf("a range needs at least two readings: set repeats to 2 or more")
		}
		m.Done()
		steps = append(steps, s)
	}
	if len(steps) > most {
		v.Problemf("at most %d measurements are possible", most)
	}
	return steps
}

// positive reads a length that must be above zero, or may be zero.
func (r *procedureReader) positive(v shopfile.Value, zero bool) *gauge.Length {
	l := v.Length(r.p.Unit)
	if l < 0 || l == 0 && !zero && v.Given() && r.p.Unit.Known() {
		v.Problemf("%s must be greater than zero", v.Text())
	}
	return &l
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
		v.Problemf("give min, max or both")
	}
	if limits.Min != nil && limits.Max != nil && *limits.Min > *limits.Max {
		v.Problemf("min %s is greater than max %s", m.Get("min").Text(), m.Get("max").Text())
	}
	m.Done()
	return limits
}

func (r *procedureReader) constants(v shopfile.Value) {
	if !v.Given() {
		return
	}
	for _, e := range v.Map().Entries() {
		c := Constant{Name: r.name(e.Key)}
		if e.Value.IsMap() {
			m := e.Value.Map()
			c.Value = m.Need("value").Length(r.p.Unit)
			c.Title = m.Get("title").Text()
			m.Done()
		} else {
			c.Value = e.Value.Length(r.p.Unit)
		}
		r.p.Constants = append(r.p.Constants, c)
	}
}

func (r *procedureReader) values(v shopfile.Value) {
	if !v.Given() {
		return
	}
	for _, e := range v.Map().Entries() {
		x := r.expression(e.Value, r.seen)
		r.p.Values = append(r.p.Values, Named{r.name(e.Key), x})
	}
}

// expression reads a sum of names that stand before it.
func (r *procedureReader) expression(v shopfile.Value, known map[string]shopfile.Value) *Expression {
	text := v.Text()
	if text == "" || !r.p.Unit.Known() {
		return nil
	}
	e, err := ParseExpression(text, r.p.Unit)
	if err != nil {
		v.Problemf("%q is not a sum of lengths: %v", text, err)
		return nil
	}
	for _, name := range e.Names() {
		if _, ok := known[name]; !ok {
			v.Problemf("%q is not known here: name a measurement, a constant or a value that stands above", name)
		}
	}
	return e
}

// allow reads the limits of the closing dimension. A preload is kept as a
// negative play.
func (r *procedureReader) allow(v shopfile.Value) {
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
		r.p.Word = word
		r.p.Allowed = readLimits(limits, r.p.Unit)
		if word == WordPreload {
			r.p.Allowed = Limits{negative(r.p.Allowed.Max), negative(r.p.Allowed.Min)}
		}
	}
	if words != 1 && v.IsMap() {
		v.Problemf("give exactly one of play, preload or result")
	}
	m.Done()
}

func negative(l *gauge.Length) *gauge.Length {
	if l == nil {
		return nil
	}
	n := -*l
	return &n
}

// part reads what is fitted and how it is chosen.
func (r *procedureReader) part(m *shopfile.Map) {
	p := r.p
	parts, made, choose := m.Get("parts"), m.Get("part"), m.Get("choose")
	if parts.Given() {
		p.Parts = parts.Word()
	}
	if made.Given() {
		p.ToSize = made.OneOf("made to size") != ""
	}
	if parts.Given() && made.Given() {
		made.Problemf("a part is chosen from a family or made to size, not both: remove parts or part")
	}
	if !p.ChoosesPart() {
		choose.Problemf("nothing is chosen: name a part family under parts, or say part: made to size")
		if p.Word == WordPlay || p.Word == WordPreload {
			m.Get("allow").Problemf("nothing is fitted here, so the limits are those of the result: write allow: {result: ...}")
		} else if !m.Get("allow").Given() {
			m.Get("gap").Problemf("nothing says what the gap is for: judge it with allow: {result: ...}, choose from parts, or say part: made to size")
		}
		return
	}
	r.choose(choose)
	if p.Choose.Aim == AimTable {
		return
	}
	if p.Word == WordResult || !p.Allowed.Limited() {
		m.Need("allow").Problemf("a part is chosen, so give the allowed play or preload")
	} else if p.Allowed.Min == nil || p.Allowed.Max == nil {
		m.Get("allow").Problemf("give both min and max: a part cannot be chosen with one limit")
	}
	if !choose.Given() {
		m.Need("choose")
	}
}

func (r *procedureReader) choose(v shopfile.Value) {
	if !v.Given() {
		return
	}
	c := &r.p.Choose
	m := v.Map()
	aim := m.Need("aim")
	if aim.IsMap() {
		am := aim.Map()
		for _, word := range []Word{WordPlay, WordPreload} {
			if stated := am.Get(string(word)); stated.Given() {
				c.Aim, c.AimPlay = AimPlay, stated.Length(r.p.Unit)
				if word == WordPreload {
					c.AimPlay = -c.AimPlay
				}
			}
		}
		am.Done()
		if c.Aim == "" {
			aim.Problemf("give the play or the preload to aim at")
		} else if !r.p.Allowed.Contains(c.AimPlay) {
			aim.Problemf("the aim is outside the allowed limits")
		}
	} else {
		c.Aim = Aim(aim.OneOf("middle", "thickest", "thinnest", "table"))
	}
	if c.Aim == AimTable && r.p.ToSize {
		aim.Problemf("a part made to size has no table: aim at middle, thickest, thinnest or a stated play")
	}
	if tie := m.Get("tie"); tie.Given() {
		c.TieThicker = tie.OneOf("thinner", "thicker") == "thicker"
	}
	if pack := m.Get("pack"); pack.Given() {
		c.Pack = r.pack(pack)
	}
	c.Border = BorderInside
	if border := m.Get("border"); border.Given() {
		c.Border = Border(border.OneOf("inside", "outside"))
	}
	m.Done()
}

// pack reads how many pieces may be stacked.
func (r *procedureReader) pack(v shopfile.Value) *PackRule {
	rule := &PackRule{Least: 1, Most: 10}
	if r.p.ToSize || r.p.Choose.Aim == AimTable {
		v.Problemf("pieces are stacked only when a part is chosen from a family by its thickness")
	}
	m := v.Map()
	if least := m.Get("least"); least.Given() {
		rule.Least = least.Int(1, mostPieces)
	}
	if most := m.Get("most"); most.Given() {
		rule.Most = most.Int(1, mostPieces)
	}
	m.Done()
	if rule.Least > rule.Most {
		v.Problemf("at least %d pieces are more than at most %d", rule.Least, rule.Most)
	}
	return rule
}

func (r *procedureReader) verify(v shopfile.Value) {
	if !v.Given() {
		return
	}
	m := v.Map()
	if !r.p.ChoosesPart() {
		v.Problemf("nothing is fitted, so there is nothing to verify: measure it under measure")
	}
	before := r.seen
	r.seen = map[string]shopfile.Value{}
	for name, at := range before {
		r.seen[name] = at
	}
	r.p.Verify = r.steps(m.Need("measure"))
	known := map[string]shopfile.Value{}
	for _, s := range r.p.Verify {
		known[s.Name] = r.seen[s.Name]
	}
	for _, c := range r.p.Constants {
		known[c.Name] = r.seen[c.Name]
	}
	r.p.VerifyPlay = r.expression(m.Need("play"), known)
	if within := m.Get("predicted_within"); within.Given() {
		r.p.PredictedWithin = r.positive(within, false)
	}
	m.Done()
	if !r.p.Allowed.Limited() && r.p.ChoosesPart() {
		v.Problemf("there are no limits to verify against: give allow")
	}
}
