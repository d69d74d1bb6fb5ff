package formula

import (
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

// names that the formulas of these tests may use.
var names = Scope{
	"a": {Of: Length}, "b": {Of: Length}, "c": {Of: Length}, "d": {Of: Length},
	"pull": {Of: force}, "n": {Of: number},
}

func mm(text string) gauge.Length { return gauge.MustLength(text, gauge.Millimetre) }

func lengthOf(e *Expression, lengths map[string]gauge.Length) (gauge.Length, error) {
	v := NewValues()
	for name, l := range lengths {
		v.Of[name] = Exact(l, gauge.Millimetre)
	}
	r, err := e.Compute(&v)
	if err != nil {
		return 0, err
	}
	return InUnit(r, gauge.Millimetre)
}

func TestExpressions(t *testing.T) {
	lengths := map[string]gauge.Length{"a": mm("10"), "b": mm("4"), "c": mm("-0.5"), "n": 3}
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
		{"a + 2*0.5", "11", "10.000 + 2*0.5"},                       // bare numbers that are added are lengths
		{"1 + 2", "3", "1 + 2"},
		{"a*b/b", "10", "10.000*4.000/4.000"},
		{"a/b*a", "25", "10.000/4.000*10.000"},
		{"abs(c) + smallest(a, b, 3)", "3.5", "abs((-0.500)) + smallest(10.000, 4.000, 3)"},
		{"largest(a, b) - range(a, b, c)", "-0.5", "largest(10.000, 4.000) - range(10.000, 4.000, (-0.500))"},
		{"mean(a, b) + median(a, b, c)", "11", "mean(10.000, 4.000) + median(10.000, 4.000, (-0.500))"},
	}
	for _, c := range cases {
		e, err := Parse(c.text, gauge.Millimetre, names, &Length)
		if err != nil {
			t.Errorf("%s: %v", c.text, err)
			continue
		}
		got, err := lengthOf(e, lengths)
		if err != nil || got != mm(c.want) {
			t.Errorf("%s = %d pm, %v; want %s mm", c.text, got, err, c.want)
		}
		if worked := e.Worked(func(n string, _ bool) string { return lengths[n].Text(gauge.Millimetre, 3) }, func(text string) string { return text }); worked != c.worked {
			t.Errorf("%s is worked as %q, want %q", c.text, worked, c.worked)
		}
	}
}

func TestExpressionErrors(t *testing.T) {
	cases := []struct{ text, want string }{
		{"", "it ends where a name or a number is needed"},
		{"a -", "it ends where a name or a number is needed"},
		{"a b", `"b" is not expected at character 3: put + - * or / between a and b, or _ where they are one name`},
		{"a ** b", `"*" stands at character 4 where a name or a number is needed`},
		{"(a", "the parenthesis at character 1 is not closed"},
		{"a)", `")" is not expected at character 2`},
		{"a / b", "a length is needed here, it is a number"},
		{"a * b", "a length is needed here, it is another quantity"},
		{"a + pull", "a length and a force cannot be added or compared (character 3)"},
		{"pull + 3", "the bare number at character 8 has no unit where a force is needed: give it a name and a unit under constants"},
		{"smallest(a, pull)", "a length and a force cannot be added or compared (character 1)"},
		{"largest(a)", "largest at character 1 takes several values, or one measurement whose readings it looks at"},
		{"abs(a, b)", "abs at character 1 takes one value"},
		{"sum(a, b)", `there is no function "sum" at character 1; the functions are abs, cos, down, largest, mean, median, range, round, sin, smallest, sqrt, tan, truncate, up`},
		{"mean(a, b", "the parenthesis at character 5 is not closed"},
		{"missing + a", `"missing" is not known here: name a measurement, a constant or a value that stands above`},
		{"a / 0", "division by zero (character 3)"},
		{"a / (1 - 1)", "division by zero (character 3)"},
		{"a ^ b", `the character "^" has no place in a sum`},
		{"1.2.3 + a", `"1.2.3" is not a number`},
		{"3,5 + a", `"," is not expected at character 2: a number is written with a decimal point, 3.5`},
		{"a x 2", `"x" is not expected at character 3: multiply with *`},
		{"a − b", `character 3 is a printed minus sign, not the sign of the keyboard: write a - b`},
	}
	for _, c := range cases {
		_, err := Parse(c.text, gauge.Millimetre, names, &Length)
		if err == nil || words.In(words.English).Error(err) != c.want {
			t.Errorf("%q: got %v, want %s", c.text, err, c.want)
		}
	}
}

func TestExpressionBeyondRange(t *testing.T) {
	e, err := Parse("999999999999*a", gauge.Millimetre, names, &Length)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := lengthOf(e, map[string]gauge.Length{"a": mm("10")}); err == nil {
		t.Error("a sum beyond one kilometre was not refused")
	}
}

// TestSumsAreExact compares random sums with arbitrary precision.
func TestSumsAreExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := map[string]gauge.Length{}
		want := new(big.Int)
		text := ""
		for _, n := range []string{"a", "b", "c", "d"} {
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
		e, err := Parse(text, gauge.Inch, names, &Length)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := lengthOf(e, values); err != nil || int64(got) != want.Int64() {
			t.Fatalf("%s = %d, %v; want %v", text, got, err, want)
		}
	})
}

func FuzzExpression(f *testing.F) {
	for _, s := range []string{"a - b", "2*(a+b)/3", "((((a))))", "-1e9*a", "a/0.0000001", "sqrt(a*b)", "a*sin(30)", "a/cos(90)", "a*tan(89.9999999999)", "a*sqrt(0-1)", "a/sin(sqrt(2))"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		e, err := Parse(text, gauge.Inch, names, &Length)
		if err != nil {
			return
		}
		values := map[string]gauge.Length{}
		for _, n := range e.Names() {
			values[n] = gauge.Inch.Size()
		}
		if v, err := lengthOf(e, values); err == nil && v.Abs() > gauge.MaxLength {
			t.Errorf("%q = %d pm, beyond the range", text, v)
		}
	})
}
