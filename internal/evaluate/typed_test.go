package evaluate

import (
	"testing"

	"gauged/internal/gauge"
)

// TestTyped: what a person may type for a measurement, and what is refused.
func TestTyped(t *testing.T) {
	p, err := readProcedure("p.yaml", []byte(`procedure: p
title: t
unit: mm
other_units: convert
measure:
  gap: {title: gap}
  pull: {title: pull, unit: lbf}
  room: {title: room, unit: degC}
  mark: {title: mark, unit: number, unreadable: 0}
  letter: {title: letter, one_of: [A, B]}
  class: {title: class, one_of: {I: 0.010, II: 0.015}}
gap: gap
allow: {result: {max: 1}}
`))
	if err != nil {
		t.Fatal(err)
	}
	upper := mm("0.25")
	cases := []struct {
		measurement, shown string
		unit               gauge.Unit
		value              gauge.Length
		upper              *gauge.Length
		problem            string
	}{
		{"gap", "0.20", gauge.Millimetre, mm("0.20"), nil, ""},
		{"gap", "0.20..0.25", gauge.Millimetre, mm("0.20"), &upper, ""},
		{"gap", "0..99", gauge.Millimetre, 0, nil, `"0..99" may be a slip of the pen: write both ends of an interval with their decimals, such as 0.20..0.25`},
		{"gap", "0.25..0.20", gauge.Millimetre, 0, nil, `"0.25..0.20" is no interval: the second number is the larger one`},
		{"gap", "0.2..", gauge.Millimetre, 0, nil, `"" is not a length: there are no digits`},
		{"gap", "unreadable", gauge.Millimetre, 0, nil, `"unreadable" is not a length: it is not a plain decimal number`},
		{"gap", "12", gauge.PoundForce, 0, nil, "12 lbf was not taken: gap is a length in mm"},
		{"pull", "12", gauge.PoundForce, gauge.MustLength("12", gauge.PoundForce), nil, ""},
		{"pull", "50", gauge.Newton, gauge.MustLength("50", gauge.Newton), nil, ""},
		{"room", "21.5", gauge.DegreeCelsius, gauge.MustLength("21.5", gauge.DegreeCelsius), nil, ""},
		{"room", "294.65", gauge.Kelvin, 0, nil, "294.65 K was not taken: procedure p does not say whether room is a temperature or a difference of temperatures, which convert differently; read it in degC, or let the procedure say reads: temperature or reads: difference"},
		{"pull", "12", gauge.UnitUnknown, 0, nil, `pull: "12" has no unit: write it as 12 lbf, 12 N or 12 kgf`},
		{"room", "21", gauge.UnitUnknown, 0, nil, `room: "21" has no unit: write it as 21 degC or 21 K`},
		{"mark", "2", gauge.UnitUnknown, gauge.MustLength("2", gauge.One), nil, ""}, // a plain number has none
		{"mark", "-3", gauge.One, gauge.MustLength("-3", gauge.One), nil, ""},
		{"mark", "unreadable", gauge.UnitUnknown, 0, nil, ""},
		{"letter", "B", gauge.UnitUnknown, 0, nil, ""},
		{"letter", "C", gauge.UnitUnknown, 0, nil, `"C" cannot be read for letter: it is one of A, B`},
		{"class", "II", gauge.UnitUnknown, mm("0.015"), nil, ""},
		{"width", "1", gauge.Millimetre, 0, nil, `procedure p has no measurement "width"`},
	}
	for _, c := range cases {
		r, err := p.Typed(c.measurement, c.shown, c.unit)
		if c.problem != "" {
			if err == nil || err.Error() != c.problem {
				t.Errorf("%s %s: got %v, want %s", c.measurement, c.shown, err, c.problem)
			}
			continue
		}
		if err != nil || r.Value != c.value || (r.Upper == nil) != (c.upper == nil) || r.Upper != nil && *r.Upper != *c.upper {
			t.Errorf("%s %s: got %+v, %v", c.measurement, c.shown, r, err)
		}
		stored := p.Stored(c.measurement, 7, &gauge.Reading{Value: r.Value, Shown: r.Shown, Unit: r.Unit, EnteredBy: "somebody"})
		if stored.Seq != 7 || stored.Value != r.Value || (stored.Upper == nil) != (r.Upper == nil) {
			t.Errorf("%s %s is stored and comes back as %+v", c.measurement, c.shown, stored)
		}
	}
}
