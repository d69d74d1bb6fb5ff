package procedure

import (
	"gauged/internal/evaluate/drawing"
	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

func (r *procedureReader) steps(v shopfile.Value) []Step {
	var steps []Step
	if !v.Given() {
		return nil
	}
	for _, e := range v.Map().Entries() {
		steps = append(steps, r.step(e.Key, e.Value))
	}
	if len(steps) > most {
		v.Wrong(gauge.Say("entry.steps-many", gauge.Count("most", most)))
	}
	return steps
}

func (r *procedureReader) step(key, v shopfile.Value) Step {
	m := v.Map()
	s := Step{
		Name: r.name(key), Title: m.Need("title").Text(), How: m.Get("how").Text(), Drawing: drawing.Read(m.Get("drawing")),
		Instrument: m.Get("instrument").Text(), Unit: r.p.Unit, Repeats: 1, Take: TakeMean,
	}
	if unit := m.Get("unit"); unit.Given() {
		s.Unit = unit.AnyUnit()
	}
	r.reads(m.Get("reads"), &s)
	s.Plausible = readLimits(m.Get("plausible"), s.Unit)
	if repeats := m.Get("repeats"); repeats.Given() {
		s.Repeats = repeats.Int(1, most)
	} else if isTurn(m.Get("capture")) {
		s.Repeats = turnReadings(m.Get("closes").Given())
	}
	r.take(m.Get("take"), &s)
	codes := m.Get("one_of")
	if codes.Given() {
		s.Codes = r.codes(codes, m.Get("unit").Given(), &s)
	}
	r.unreadable(m.Get("unreadable"), codes, &s)
	if codes.Given() {
		r.marks[s.Name] = s.Codes
	}
	s.Agree = r.agreement(m.Get("agree"), s)
	if s.Closes = r.agreement(m.Get("closes"), s); s.Closes != nil && s.Repeats < 3 {
		m.Get("closes").Wrong(gauge.Say("entry.step-closes"))
	}
	if s.Take == TakeRange && s.Repeats < 2 {
		v.Wrong(gauge.Say("entry.step-range"))
	}
	s.Outliers = OutlierGrubbs
	if test := m.Get("outliers"); test.Given() {
		if s.Outliers = OutlierTest(test.OneOf(string(OutlierGrubbs), string(OutlierESD), "none")); s.Outliers == "none" {
			s.Outliers = ""
		}
	}
	s.When = r.when(m.Get("when"))
	s.Play, s.LeastPlay = readPlay(m.Get("play"), s.Unit, len(s.Codes) > 0)
	s.Moving = r.moving(m.Get("capture"), &s)
	r.stepDoubts(m, &s)
	m.Done()
	r.know(s.Name, formula.DimensionOf(s.Unit), s.Unit, true)
	r.scope[s.Name] = formula.Meaning{Of: formula.DimensionOf(s.Unit), Step: true, Marks: s.marks()}
	return s
}

// take reads the statistic that enters the chain; a truncated mean says how
// many readings it drops at each end.
func (r *procedureReader) take(v shopfile.Value, s *Step) {
	switch {
	case v.IsMap():
		m := v.Map()
		s.Take, s.Drop = TakeTruncated, m.Need("truncated mean").Int(1, most)
		m.Done()
	case v.Given():
		s.Take = Take(v.OneOf("mean", "median", "smallest", "largest", "range", "truncated mean"))
		s.Drop = 1
	}
	if s.Take == TakeTruncated && s.Repeats <= 2*s.Drop {
		v.Wrong(gauge.Say("entry.step-drop", gauge.Count("drop", s.Drop), gauge.Count("least", 2*s.Drop+1)))
	}
}

// agreement reads how closely readings must agree.
func (r *procedureReader) agreement(v shopfile.Value, s Step) *gauge.Length {
	if !v.Given() {
		return nil
	}
	if s.Repeats < 2 {
		v.Wrong(gauge.Say("entry.step-agree"))
	}
	return v.Positive(s.Unit, true)
}

// codes reads the marks that may be found: a list, or a mapping to the values
// that they stand for. Marks without values have no unit.
func (r *procedureReader) codes(v shopfile.Value, unitGiven bool, s *Step) []Code {
	var codes []Code
	if v.IsMap() {
		for _, e := range v.Map().Entries() {
			l := e.Value.Length(s.Unit)
			codes = append(codes, Code{Mark: e.Key.Text(), Value: &l})
		}
	} else {
		if s.Unit = gauge.One; unitGiven {
			v.Wrong(gauge.Say("entry.marks-quantity"))
		}
		for _, item := range v.List() {
			codes = append(codes, Code{Mark: item.Text()})
		}
	}
	if len(codes) < 2 || len(codes) > most {
		v.Wrong(gauge.Say("entry.marks-count", gauge.Count("most", most)))
	}
	for i, c := range codes {
		for _, before := range codes[:i] {
			if c.Mark == before.Mark {
				v.Wrong(gauge.Say("entry.mark-twice", shopfile.Quoted("mark", c.Mark)))
			}
		}
	}
	if s.Take != TakeMean {
		v.Wrong(gauge.Say("entry.mark-take"))
	}
	return codes
}

// unreadable reads what stands for a mark that cannot be read. Among marks that
// stand for a quantity, it is one more of them.
func (r *procedureReader) unreadable(v, codes shopfile.Value, s *Step) {
	if !v.Given() {
		return
	}
	if codes.Given() && !codes.IsMap() {
		v.Wrong(gauge.Say("entry.mark-unreadable"))
		return
	}
	l := v.Length(s.Unit)
	s.Unreadable = &l
	if codes.Given() {
		s.Codes = append(s.Codes, Code{Mark: Unreadable, Value: &l})
	}
}

// when reads in which cases a step is measured.
func (r *procedureReader) when(v shopfile.Value) []Case {
	if !v.Given() {
		return nil
	}
	var cases []Case
	for _, e := range v.Map().Entries() {
		cases = append(cases, r.mark(e.Key, e.Value))
	}
	return cases
}

// mark reads a mark of an earlier step.
func (r *procedureReader) mark(step, v shopfile.Value) Case {
	c := Case{Step: step.Text(), Mark: v.Text()}
	codes, ok := r.marks[c.Step]
	if !ok {
		step.Wrong(gauge.Say("entry.no-marks-step", shopfile.Quoted("step", c.Step)))
		return c
	}
	var marks []string
	for _, code := range codes {
		if code.Mark == c.Mark {
			return c
		}
		marks = append(marks, code.Mark)
	}
	v.Wrong(gauge.Say("entry.no-mark", shopfile.Quoted("mark", c.Mark), gauge.Text("step", c.Step), gauge.Texts("marks", marks)))
	return c
}
