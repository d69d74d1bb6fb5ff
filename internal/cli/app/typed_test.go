package app

import (
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/wire"
)

func TestTypedValue(t *testing.T) {
	for _, u := range gauge.Units() {
		digits, unit, err := TypedValue(" -0.50 " + u.String() + " ")
		if err != nil || digits != "-0.50" || wire.FromUnit(unit) != u {
			t.Errorf("-0.50 %v is read as %q %v, %v", u, digits, unit, err)
		}
	}
	cases := []struct {
		text, digits string
		unit         gauge.Unit
		want         string
	}{
		{"0.078in", "0.078", gauge.Inch, ""},
		{"40lbf in", "40", gauge.PoundForceInch, ""},
		{"40  lbf   in", "40", gauge.PoundForceInch, ""},
		{"21.5degC", "21.5", gauge.DegreeCelsius, ""},
		{"12", "", 0, `"12" has no unit: write it as 12 mm, 12 in or 12 um`},
		{"11", "", 0, `"11" has no unit: write it as 11 mm, 11 in or 11 um`},
		{"1 000 mm", "", 0, `"1 000" is not a length: it is not a plain decimal number`},
		{"1 000 1", "", 0, `"1 000" is not a number: it is not a plain decimal number`},
		{"1e3 N", "", 0, `"1e3" is not a force: it is not a plain decimal number`},
		{"2000000 K", "", 0, `"2000000" is not a temperature: it is larger than a million`},
	}
	for _, c := range cases {
		digits, unit, err := TypedValue(c.text)
		if got := errorText(err); digits != c.digits || wire.FromUnit(unit) != c.unit || got != c.want {
			t.Errorf("%q: %q %v, %s; want %q %v, %s", c.text, digits, unit, got, c.digits, c.unit, c.want)
		}
	}
	for text, want := range map[string]gauge.Unit{"46415 \u00b5m": gauge.Micrometre, "46415\u03bcm": gauge.Micrometre, "46415 Nm": gauge.NewtonMetre} {
		if digits, unit, err := TypedValue(text); digits != "46415" || unit != wire.Unit(want) || err != nil {
			t.Errorf("%q is %q %v, %v", text, digits, unit, err)
		}
	}
	_, _, err := TypedValue("40 lbf in", gauge.KindLength)
	if got, want := errorText(err), `"lbf in" is a unit of torque: use mm, in or um`; got != want {
		t.Errorf("a thickness in lbf in: %s, want %s", got, want)
	}
}

// TestTypedReadingWithoutUnit: the daemon knows what is measured, and says how a
// torque is written; the command line does not ask for a length.
func TestTypedReadingWithoutUnit(t *testing.T) {
	for text, shown := range map[string]string{"12": "12", " 0.20..0.25 ": "0.20..0.25", "+2": "+2", "A": "A"} {
		if got, unit, err := TypedReading(text); got != shown || wire.FromUnit(unit).Known() || err != nil {
			t.Errorf("%q is sent as %q %v, %v", text, got, unit, err)
		}
	}
}

func errorText(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}
