package procedure

import (
	"math/big"
	"slices"
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// examples reads what the manual prints as readings and answers. All names of
// the procedure are known by now.
func (r *procedureReader) examples(v shopfile.Value) []Example {
	if !v.Given() {
		return nil
	}
	var examples []Example
	for _, item := range v.List() {
		examples = append(examples, r.example(item))
	}
	if len(examples) > most {
		v.Wrong(gauge.Say("entry.examples-many", gauge.Count("most", most)))
	}
	return examples
}

func (r *procedureReader) example(v shopfile.Value) Example {
	m := v.Map()
	x := Example{Title: m.Get("title").Text(), Source: m.Get("source").Text(), Place: v.Position()}
	if digits := m.Get("digits"); digits.Given() {
		x.Cut = digits.OneOf("rounded", "cut off") == "cut off"
	}
	if readings := m.Need("readings"); readings.Given() {
		for _, e := range readings.Map().Entries() {
			x.Readings = append(x.Readings, r.printed(e.Key, e.Value)...)
		}
	}
	r.fittedIn(m.Get("fitted"), &x)
	wants := m.Need("wants")
	if wants.Given() {
		for _, e := range wants.Map().Entries() {
			r.wanted(&x, nil, e)
		}
	}
	if wants.IsMap() && len(x.Wants) == 0 {
		wants.Wrong(gauge.Say("entry.example-wants"))
	}
	m.Done()
	return x
}

// printed reads the printed readings of one measurement. A single one stands
// for all its repeats.
func (r *procedureReader) printed(key, v shopfile.Value) []Reading {
	s, _, ok := r.p.Step(key.Text())
	if !ok {
		var there []string
		for _, s := range slices.Concat(r.p.Measure, r.p.Verify) {
			there = append(there, s.Name)
		}
		key.Follows(gauge.Say("entry.no-measurement", key.As("measurement"), gauge.Others("others", key.Text(), there)))
		return nil
	}
	list := []shopfile.Value{v}
	if v.IsList() {
		list = v.List()
	}
	var readings []Reading
	for _, item := range list {
		readings = append(readings, r.printedOne(s, item))
	}
	for len(readings) > 0 && len(list) == 1 && len(readings) < s.Repeats {
		readings = append(readings, readings[0])
	}
	return readings
}

// printedOne reads one reading: in the measurement's unit, with a unit of its
// own such as 0.078 in, in two columns, or a mark.
func (r *procedureReader) printedOne(s Step, v shopfile.Value) Reading {
	unit, shown := s.Unit, ""
	if v.IsMap() {
		v.Length(unit) // compares the columns
		v = v.Map().Get(unit.String())
	}
	if shown = v.Text(); len(s.Codes) == 0 && shown != Unreadable && strings.Contains(shown, " ") {
		shown, unit = v.Quantity()
	}
	if shown == "" || !unit.Known() {
		return Reading{Measurement: s.Name} // reported already
	}
	if len(s.Codes) > 0 {
		unit = gauge.UnitUnknown // a mark has none
	}
	reading, err := r.p.Typed(s.Name, shown, unit)
	if err != nil {
		v.Wrong(gauge.Told(err))
	}
	return reading
}

// fittedIn reads what was fitted: a part, or with the thickness that was
// measured, or one for each place.
func (r *procedureReader) fittedIn(v shopfile.Value, x *Example) {
	if !v.Given() {
		return
	}
	if !v.IsMap() || v.Map().Get("part").Given() {
		x.Fitted = append(x.Fitted, r.fitted("", v))
		return
	}
	for _, e := range v.Map().Entries() {
		if _, ok := r.p.PlaceNamed(e.Key.Text()); !ok {
			e.Key.Wrong(gauge.Say("entry.example-place", e.Key.As("place")))
			continue
		}
		x.Fitted = append(x.Fitted, r.fitted(e.Key.Text(), e.Value))
	}
}

func (r *procedureReader) fitted(place string, v shopfile.Value) Fitted {
	f := Fitted{Place: place}
	if !v.IsMap() {
		f.Part = v.Text()
		return f
	}
	m := v.Map()
	f.Part = m.Need("part").Text()
	if thickness := m.Get("thickness"); thickness.Given() {
		f.Thickness = thickness.Positive(r.p.Unit, false)
	}
	m.Done()
	return f
}

// wanted reads one printed answer; those of a place stand in a mapping under
// its name.
func (r *procedureReader) wanted(x *Example, place []string, e shopfile.Entry) {
	name := e.Key.Text()
	if _, ok := r.p.PlaceNamed(name); ok && place == nil && name != "" && e.Value.IsMap() {
		for _, inside := range e.Value.Map().Entries() {
			r.wanted(x, []string{name}, inside)
		}
		return
	}
	w := Wanted{At: append(slices.Clone(place), name), Place: e.Value.Position()}
	switch {
	case name == AnswerOutcome && place == nil:
		w.Text = e.Value.Text()
		if !slices.Contains(r.outcomes, w.Text) {
			e.Value.Wrong(gauge.Say("entry.no-outcome", shopfile.Quoted("text", w.Text)))
		}
	case name == AnswerPart, r.judgesMark(name):
		w.Text = e.Value.Text()
	default:
		var known bool
		if w.Unit, known = r.unitOf(place, name); !known {
			e.Key.Wrong(gauge.Say("entry.example-name", shopfile.Quoted("name", name), gauge.Texts("answers", answers)))
			return
		}
		if !e.Value.IsMap() && slices.Contains(r.outcomes, e.Value.Text()) && r.judgeNamed(name) != nil {
			w.Text = e.Value.Text() // how a judged result ends
			break
		}
		r.wantedNumber(&w, e.Value)
	}
	x.Wants = append(x.Wants, w)
}

// wantedNumber reads a printed quantity and the size of its last digit.
func (r *procedureReader) wantedNumber(w *Wanted, v shopfile.Value) {
	w.Number = formula.Exact(v.Length(w.Unit), w.Unit)
	if v.IsMap() {
		v = v.Map().Get(w.Unit.String())
	}
	w.Text = v.Text()
	w.Digit = formula.Exact(w.Unit.Size(), w.Unit)
	tenth := big.NewRat(1, 10)
	for range v.Decimals() {
		w.Digit.Mul(w.Digit, tenth)
	}
}

// unitOf is the unit of an answer.
func (r *procedureReader) unitOf(place []string, name string) (gauge.Unit, bool) {
	if name == answerGap {
		p := r.p.Place
		if place != nil {
			p, _ = r.p.PlaceNamed(place[0])
		}
		if p.Gap != nil {
			return p.Gap.Of.Usual(r.p.Unit), true
		}
		return r.p.Unit, true
	}
	if slices.Contains(answers, name) {
		return r.p.Unit, true
	}
	u, ok := r.p.Units[name]
	return u, ok && place == nil && u.Known()
}

// judgeNamed is the result of that name that is compared with limits or with a
// mark; nil when there is none.
func (r *procedureReader) judgeNamed(name string) *Judge {
	for _, judges := range [][]Judge{r.p.Judge, r.p.Proof} {
		for i := range judges {
			if judges[i].Name == name {
				return &judges[i]
			}
		}
	}
	return nil
}

// judgesMark reports whether a result is a mark that is wanted.
func (r *procedureReader) judgesMark(name string) bool {
	j := r.judgeNamed(name)
	return j != nil && j.Is != ""
}
