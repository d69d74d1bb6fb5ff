package evaluate

import (
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"gauged/internal/gauge"
)

func TestExpressions(t *testing.T) {
	values := map[string]gauge.Length{"a": mm("10"), "b": mm("4"), "c": mm("-0.5")}
	cases := []struct{ text, want, worked string }{
		{"a - b", "6", "10.000 - 4.000"},
		{"-a + b", "-6", "-10.000 + 4.000"},
		{"a - b - c", "6.5", "10.000 - 4.000 - (-0.500)"},
		{"a - (b + c)", "6.5", "10.000 - (4.000 + (-0.500))"},
		{"(a - b)/2", "3", "(10.000 - 4.000)/2"},
		{"2*(a - b) + 0.25", "12.25", "2*(10.000 - 4.000) + 0.25"},
		{"a*0.5 - b*1.25", "0", "10.000*0.5 - 4.000*1.25"},
		{"a/3", "3.333333333", "10.000/3"},
		{"a/3 + a/3 + a/3", "10", "10.000/3 + 10.000/3 + 10.000/3"}, // rounded once, at the end
	}
	p := Procedure{Unit: gauge.Millimetre, Decimals: 3}
	for _, c := range cases {
		e, err := ParseExpression(c.text, gauge.Millimetre)
		if err != nil {
			t.Errorf("%s: %v", c.text, err)
			continue
		}
		got, err := e.Value(values)
		if err != nil || got != mm(c.want) {
			t.Errorf("%s = %d pm, %v; want %s mm", c.text, got, err, c.want)
		}
		if worked := e.Worked(func(n string) string { return p.Text(values[n]) }); worked != c.worked {
			t.Errorf("%s is worked as %q, want %q", c.text, worked, c.worked)
		}
	}
}

func TestExpressionErrors(t *testing.T) {
	cases := []struct{ text, want string }{
		{"", "it ends where a name or a number is needed"},
		{"a -", "it ends where a name or a number is needed"},
		{"a b", `"b" is not expected at character 3`},
		{"a ** b", `"*" stands at character 4 where a name or a number is needed`},
		{"(a", "the parenthesis at character 1 is not closed"},
		{"a)", `")" is not expected at character 2`},
		{"a / b", "a length is divided by a number only (character 3)"},
		{"a / 0", "division by zero (character 3)"},
		{"a / (1 - 1)", "division by zero (character 3)"},
		{"a ^ b", `the character '^' has no place in a sum of lengths`},
		{"1.2.3 + a", `"1.2.3" is not a number`},
		{"1 + 2", "it names no measurement, constant or value"},
		{"a - a", "it names no measurement, constant or value"},
		{"3,5 + a", `the character ',' has no place in a sum of lengths`},
	}
	for _, c := range cases {
		_, err := ParseExpression(c.text, gauge.Millimetre)
		if err == nil || err.Error() != c.want {
			t.Errorf("%q: got %v, want %s", c.text, err, c.want)
		}
	}
}

func TestExpressionBeyondRange(t *testing.T) {
	e, err := ParseExpression("999999999999*a", gauge.Millimetre)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := e.Value(map[string]gauge.Length{"a": mm("10")}); err == nil {
		t.Error("a sum beyond one kilometre was not refused")
	}
}

// TestSumsAreExact compares random sums with arbitrary precision.
func TestSumsAreExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		names := []string{"a", "b", "c", "d"}
		values := map[string]gauge.Length{}
		want := new(big.Int)
		text := ""
		for _, n := range names {
			v := rapid.Int64Range(-1e13, 1e13).Draw(t, n)
			values[n] = gauge.Length(v)
			if rapid.Bool().Draw(t, "minus") {
				text += "-" + n
				want.Sub(want, big.NewInt(v))
			} else {
				text += "+" + n
				want.Add(want, big.NewInt(v))
			}
		}
		e, err := ParseExpression(text, gauge.Inch)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := e.Value(values); err != nil || int64(got) != want.Int64() {
			t.Fatalf("%s = %d, %v; want %v", text, got, err, want)
		}
	})
}

func FuzzExpression(f *testing.F) {
	for _, s := range []string{"a - b", "2*(a+b)/3", "((((a))))", "-1e9*a", "a/0.0000001"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		e, err := ParseExpression(text, gauge.Inch)
		if err != nil {
			return
		}
		values := map[string]gauge.Length{}
		for _, n := range e.Names() {
			values[n] = gauge.Inch.Size()
		}
		if v, err := e.Value(values); err == nil && v.Abs() > gauge.MaxLength {
			t.Errorf("%q = %d pm, beyond the range", text, v)
		}
	})
}
