package gauge

import (
	"encoding/csv"
	"errors"
	"fmt"
	"math/big"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// factors returns the units' own word for each row of the published table.
func factors() map[string]*big.Rat {
	in := func(u Unit, times, of int64, per *big.Rat) *big.Rat {
		f := new(big.Rat).Mul(u.Factor(), big.NewRat(times, of))
		return f.Quo(f, per)
	}
	si := big.NewRat(1, 1)
	return map[string]*big.Rat{
		"inch m":                   in(Inch, 1, 1, si),
		"inch mm":                  in(Inch, 1, 1, Millimetre.Factor()),
		"mil (0.001 in) m":         in(Inch, 1, 1000, si),
		"microinch um":             in(Inch, 1, 1_000_000, Micrometre.Factor()),
		"foot m":                   new(big.Rat).Quo(PoundForceFoot.Factor(), PoundForce.Factor()),
		"pound-force N":            in(PoundForce, 1, 1, si),
		"pound-force foot N m":     in(PoundForceFoot, 1, 1, si),
		"pound-force inch N m":     in(PoundForceInch, 1, 1, si),
		"ounce-force inch N m":     in(PoundForceInch, 1, 16, si),
		"kilogram-force meter N m": in(KilogramForceCentimetre, 100, 1, si),
	}
}

// TestFactorsArePublished compares with NIST SP 811 appendix B.8: the exact
// value, and the printed one within half of its last digit.
func TestFactorsArePublished(t *testing.T) {
	f, err := os.Open(filepath.Join("..", "..", "testdata", "units", "sp811.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	table := csv.NewReader(f)
	table.Comment = '#'
	rows, err := table.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 11 {
		t.Fatalf("%d rows with the header, want 11", len(rows))
	}
	ours := factors()
	for _, row := range rows[1:] {
		name := row[0] + " " + row[1]
		got, ok := ours[name]
		if !ok {
			t.Errorf("no unit stands for the row %s", name)
			continue
		}
		if want := decimal(t, row[3]); got.Cmp(want) != 0 {
			t.Errorf("%s = %s, want exactly %s", name, got.FloatString(18), row[3])
		}
		printed := decimal(t, row[2])
		off := new(big.Rat).Quo(new(big.Rat).Sub(got, printed), printed)
		if off.Abs(off).Cmp(big.NewRat(1, 2_000_000)) > 0 {
			t.Errorf("%s = %s, printed is %s", name, got.FloatString(18), row[2])
		}
		if row[4] == "1" && off.Sign() != 0 {
			t.Errorf("%s = %s, printed as exact is %s", name, got.FloatString(18), row[2])
		}
	}
}

func decimal(t *testing.T, text string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		t.Fatalf("%q is no number", text)
	}
	return r
}

// TestFactorsAreConsistent: products that hold by definition, and the lengths
// against their picometres.
func TestFactorsAreConsistent(t *testing.T) {
	product := func(a Unit, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a.Factor(), b) }
	cases := []struct {
		unit Unit
		want *big.Rat
	}{
		{KilogramForce, big.NewRat(980_665, 100_000)}, // standard gravity, exact
		{PoundForce, product(KilogramForce, big.NewRat(45_359_237, 100_000_000))},
		{PoundForceInch, product(PoundForce, Inch.Factor())},
		{PoundForceFoot, product(PoundForceInch, big.NewRat(12, 1))},
		{KilogramForceCentimetre, product(KilogramForce, big.NewRat(1, 100))},
		{NewtonCentimetre, product(NewtonMetre, big.NewRat(1, 100))},
		{Newton, big.NewRat(1, 1)},
		{DegreeCelsius, Kelvin.Factor()},
		{One, big.NewRat(1, 1)},
		{UnitUnknown, new(big.Rat)},
	}
	for _, u := range Units(KindLength) {
		cases = append(cases, struct {
			unit Unit
			want *big.Rat
		}{u, big.NewRat(int64(u.Size()), 1e12)})
	}
	for _, c := range cases {
		if got := c.unit.Factor(); got.Cmp(c.want) != 0 {
			t.Errorf("%v is %s in SI, want %s", c.unit, got.RatString(), c.want.RatString())
		}
	}
	Inch.Factor().SetInt64(7)
	if Inch.Factor().Cmp(big.NewRat(254, 10_000)) != 0 {
		t.Error("a caller changed the factor of the inch")
	}
}

// TestUnitNumbersStay: the numbers of the first units are what older programs wrote.
func TestUnitNumbersStay(t *testing.T) {
	if got := []Unit{UnitUnknown, Millimetre, Inch, Micrometre, Newton}; !slices.Equal(got, []Unit{0, 1, 2, 3, 4}) {
		t.Errorf("the units are numbered %d", got)
	}
	if got := Units(KindLength); !slices.Equal(got, []Unit{Millimetre, Inch, Micrometre}) {
		t.Errorf("units of length: %v", got)
	}
	if got := Units(KindTorque, KindNumber); !slices.Equal(got, []Unit{NewtonMetre, NewtonCentimetre, PoundForceInch, PoundForceFoot, KilogramForceCentimetre, One}) {
		t.Errorf("units of torque and number: %v", got)
	}
}

func TestEveryUnitReadsBack(t *testing.T) {
	if len(Units()) != int(One) {
		t.Fatalf("%d units, want %d", len(Units()), One)
	}
	for _, u := range Units() {
		text, err := u.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		var back Unit
		if err := back.UnmarshalText(text); err != nil || back != u {
			t.Errorf("%s reads back as %v, %v", text, back, err)
		}
		if !u.Known() || u.Kind() == KindNone || u.Kind().String() == "" || u.Size() <= 0 || u.Factor().Sign() <= 0 {
			t.Errorf("%v is incomplete: kind %v, size %d, factor %v", u, u.Kind(), u.Size(), u.Factor())
		}
		for _, digits := range []string{"0.35", "-12", "0.000001"} {
			l, err := ParseLength(digits, u)
			if err != nil {
				t.Errorf("%s: %v", u.Quantity(digits), err)
			}
			if again, err := ParseLength(l.Text(u, 9), u); err != nil || again != l {
				t.Errorf("%s is shown as %s", u.Quantity(digits), l.Text(u, 9))
			}
		}
	}
	if u := Unit(200); u.Known() || u.Kind() != KindNone || u.Size() != 0 || u.String() != "Unit(200)" || u.Kind().String() != "" {
		t.Errorf("an unknown unit is %v, %v", u, u.Kind())
	}
}

func TestParseUnitRefuses(t *testing.T) {
	const all = "use mm, in, um, N, lbf, kgf, N m, N cm, lbf in, lbf ft, kgf cm, degC, K, deg or number"
	cases := []struct {
		symbol string
		kinds  []Kind
		want   string
	}{
		{"cm", []Kind{KindLength}, `unknown unit "cm": use mm, in or um`},
		{"N m", []Kind{KindLength}, `"N m" is a unit of torque: use mm, in or um`},
		{"mm", []Kind{KindForce, KindNumber}, `"mm" is a unit of length: use N, lbf, kgf or number`},
		{"x", []Kind{KindNumber}, `unknown unit "x": use number`},
		{"nm", nil, `unknown unit "nm": ` + all},
		{"", nil, `unknown unit "": ` + all},
	}
	for _, c := range cases {
		u, err := ParseUnit(c.symbol, c.kinds...)
		if err == nil || err.Error() != c.want || u != UnitUnknown {
			t.Errorf("%q: %v, %v; want %s", c.symbol, u, err, c.want)
		}
	}
}

func TestValuesThatAreNoLengths(t *testing.T) {
	const forty = "0.1234567890123456789012345678901234567890"
	cases := []struct {
		text string
		unit Unit
		want Length
		err  error
		says string
	}{
		{"0.35", NewtonMetre, 350_000_000, nil, ""},
		{"-21.5", DegreeCelsius, -21_500_000_000, nil, ""},
		{"0.000000001", PoundForceInch, 1, nil, ""},
		{"1000000", One, MaxLength, nil, ""},
		{"0.0000000001", NewtonMetre, 0, ErrTooFine, `"0.0000000001" has too many digits: it has 10 decimals, and 9 are kept of a torque; leave out what no gauge shows`},
		{"1000001", Newton, 0, ErrTooLarge, `"1000001" is not a force: it is larger than a million`},
		{"99999999999999999999999", Kelvin, 0, ErrTooLarge, `"99999999999999999999999" is not a temperature: it is larger than a million`},
		{"1,5", One, 0, ErrComma, `"1,5" is not a number: the decimal sign must be a point, not a comma`},
		{"", PoundForce, 0, ErrEmpty, `"" is not a force: there are no digits`},
		{"1,5", Inch, 0, ErrComma, `"1,5" is not a length: the decimal sign must be a point, not a comma`},
		{"1000001", Millimetre, 0, ErrTooLarge, `"1000001" is not a length: it is larger than one kilometre`},
		{"1", UnitUnknown, 0, ErrNoUnit, `"1" is not a length: its unit is not known`},
		{forty, Millimetre, 0, ErrTooFine, `"` + forty + `" has too many digits: it has 40 decimals, and a length is kept to a picometre, 9 decimals in mm or in and 6 in um; leave out what no gauge shows`},
		{forty, One, 0, ErrTooFine, `"` + forty + `" has too many digits: it has 40 decimals, and 9 are kept of a number; leave out what no gauge shows`},
		{"0.0000001", Micrometre, 0, ErrTooFine, `"0.0000001" is not a length: it has digits finer than one picometre`},
		{"10000000000", Micrometre, 0, ErrTooLarge, `"10000000000" is not a length: it is larger than one kilometre`},
	}
	for _, c := range cases {
		got, err := ParseLength(c.text, c.unit)
		if got != c.want || !errors.Is(err, c.err) || err != nil && err.Error() != c.says {
			t.Errorf("%q %v = %d, %v; want %d, %s", c.text, c.unit, got, err, c.want, c.says)
		}
	}
	if got := NewtonMetre.Quantity("0.35"); got != "0.35 N m" {
		t.Errorf("a torque is written %q", got)
	}
	if got := One.Quantity("12"); got != "12" {
		t.Errorf("a plain number is written %q", got)
	}
}

// TestMissingUnit: a torque without a unit is not told to be written in mm.
func TestMissingUnit(t *testing.T) {
	for unit, want := range map[Unit]string{
		PoundForceInch: `"12" has no unit: write it as 12 lbf in, 12 N m, 12 N cm, 12 lbf ft or 12 kgf cm`,
		Newton:         `"12" has no unit: write it as 12 N, 12 lbf or 12 kgf`,
		Degree:         `"12" has no unit: write it as 12 deg`,
	} {
		if got := MissingUnit("12", unit).Error(); got != want {
			t.Errorf("%v: %s, want %s", unit, got, want)
		}
	}
}

// TestRemedyOfAMissingUnit: what a number without a unit is to be written as is taken.
func TestRemedyOfAMissingUnit(t *testing.T) {
	for _, typed := range []string{"46.415", "46,415"} {
		if got, want := MissingUnit(typed, Millimetre).Error(), fmt.Sprintf("%q has no unit: write it as 46.415 mm, 46.415 in or 46.415 um", typed); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
	if err := MissingUnit("1.234,5", Millimetre); !errors.Is(err, ErrComma) {
		t.Errorf("two signs: %v", err)
	}
}
