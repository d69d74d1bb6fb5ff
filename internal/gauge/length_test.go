package gauge

import (
	"errors"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParseLength(t *testing.T) {
	cases := []struct {
		text string
		unit Unit
		want Length
		err  error
	}{
		{"0", Millimetre, 0, nil},
		{"-0.000", Millimetre, 0, nil},
		{"+012.345", Millimetre, 12_345_000_000, nil},
		{".5", Millimetre, 500_000_000, nil},
		{"5.", Millimetre, 5_000_000_000, nil},
		{"-.0012", Inch, -30_480_000, nil},
		{"0.071", Inch, 1_803_400_000, nil},
		{"0.000001", Inch, 25_400, nil},
		{"0.00000001", Inch, 254, nil},
		{"0.000000005", Inch, 127, nil},
		{"1000000", Millimetre, MaxLength, nil},
		{"1.500000000000000000000000000", Millimetre, 1_500_000_000, nil},
		{"", Millimetre, 0, ErrEmpty},
		{"-", Millimetre, 0, ErrEmpty},
		{".", Millimetre, 0, ErrEmpty},
		{"1,5", Millimetre, 0, ErrComma},
		{"1.5.0", Millimetre, 0, ErrNotDecimal},
		{"1e3", Millimetre, 0, ErrNotDecimal},
		{"NaN", Millimetre, 0, ErrNotDecimal},
		{" 1", Millimetre, 0, ErrNotDecimal},
		{"\u22121", Millimetre, 0, ErrNotDecimal}, // a Unicode minus is no minus
		{"--1", Millimetre, 0, ErrNotDecimal},
		{"0.0000000001", Millimetre, 0, ErrTooFine},
		{"0.0000000001", Inch, 0, ErrTooFine},
		{"1000000.000000001", Millimetre, 0, ErrTooLarge},
		{"99999999999999999999999", Millimetre, 0, ErrTooLarge},
		{"1", UnitUnknown, 0, ErrNoUnit},
	}
	for _, c := range cases {
		got, err := ParseLength(c.text, c.unit)
		if got != c.want || !errors.Is(err, c.err) {
			t.Errorf("%q %s = %d, %v; want %d, %v", c.text, c.unit, got, err, c.want, c.err)
		}
	}
}

// TestUnitFactors: NIST SP 811 appendix B.8 gives inch = 2.54E-02 m, microinch
// = 2.54E-02 um and mil = 2.54E-05 m, all exact.
func TestUnitFactors(t *testing.T) {
	cases := []struct {
		text string
		unit Unit
		want string // mm
	}{
		{"1", Inch, "25.4"},
		{"0.000001", Inch, "0.0000254"},
		{"0.001", Inch, "0.0254"},
		{"1", Micrometre, "0.001"},
		{"0.071", Inch, "1.8034"},
	}
	for _, c := range cases {
		if got := MustLength(c.text, c.unit); got != MustLength(c.want, Millimetre) {
			t.Errorf("%s %s is %d pm, want %s mm", c.text, c.unit, got, c.want)
		}
	}
}

func TestText(t *testing.T) {
	cases := []struct {
		l        Length
		unit     Unit
		decimals int
		want     string
	}{
		{0, Millimetre, 3, "0.000"},
		{-1, Millimetre, 3, "0.000"},
		{500_000, Millimetre, 3, "0.000"}, // half to even
		{1_500_000, Millimetre, 3, "0.002"},
		{-1_500_000, Millimetre, 3, "-0.002"},
		{-123_456_000_000, Millimetre, 3, "-123.456"},
		{MustLength("0.071", Inch), Inch, 4, "0.0710"},
		{MustLength("1", Millimetre), Inch, 5, "0.03937"},
		{1_000_000, Micrometre, 0, "1"},
		{5, UnitUnknown, 3, "5 pm"},
	}
	for _, c := range cases {
		if got := c.l.Text(c.unit, c.decimals); got != c.want {
			t.Errorf("%d pm in %s with %d decimals is %q, want %q", c.l, c.unit, c.decimals, got, c.want)
		}
	}
}

// TestTextReadsBack: a length shown without rounding reads back as itself.
func TestTextReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := Length(rapid.Int64Range(-1e15, 1e15).Draw(t, "pm"))
		if !l.Exact(Millimetre, 9) {
			t.Fatalf("%d pm is not exact in 9 decimals of a millimetre", l)
		}
		back, err := ParseLength(l.Text(Millimetre, 9), Millimetre)
		if err != nil || back != l {
			t.Fatalf("%d pm reads back as %d, %v", l, back, err)
		}
	})
}

func TestMeanRoundsHalfToEven(t *testing.T) {
	cases := []struct {
		lengths []Length
		want    Length
	}{
		{[]Length{1, 2}, 2},
		{[]Length{2, 3}, 2},
		{[]Length{-1, -2}, -2},
		{[]Length{1, 1, 2}, 1},
		{[]Length{MaxLength, MaxLength, MaxLength}, MaxLength},
	}
	for _, c := range cases {
		if got := Mean(c.lengths...); got != c.want {
			t.Errorf("mean of %v is %d, want %d", c.lengths, got, c.want)
		}
	}
}

func FuzzParseLength(f *testing.F) {
	for _, s := range []string{"1.25", "-.5", "1,5", "0.0000000001", "18446744073709551616", "+"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, u := range Units() {
			l, err := ParseLength(text, u)
			if err != nil {
				continue
			}
			want, ok := new(big.Rat).SetString(strings.TrimSuffix(text, "."))
			if !ok {
				t.Fatalf("%q is no number but was read as %d", text, l)
			}
			want.Mul(want, new(big.Rat).SetInt64(int64(u.Size())))
			if want.Cmp(new(big.Rat).SetInt64(int64(l))) != 0 {
				t.Errorf("%q %s = %d pm, want %s", text, u, l, want)
			}
		}
	})
}
