package gauge

import "testing"

func TestDigits(t *testing.T) {
	for _, c := range []struct {
		shown string
		unit  Unit
		want  string
	}{
		{"+046.418", Millimetre, "46.418"},
		{"-000.010", Millimetre, "-0.010"},
		{"0.0078", Inch, "0.0078"},
		{" 000 ", Micrometre, "0"},
		{"0.20..0.25", Millimetre, "0.20..0.25"},
		{"+1", Unit(0), "+1"},
		{"007", One, "007"},
	} {
		if got := Digits(c.shown, c.unit); got != c.want {
			t.Errorf("%q: %q", c.shown, got)
		}
	}
}
