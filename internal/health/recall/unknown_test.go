package recall

import (
	"math"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// TestUnknownDoesNotCancel: masters of 0 and 25 mm, 20 um apart, known to 0.5 um. What is
// unknown beyond them is 20 um either way, evenly, and 2 f (1 - f) of it between them, at
// each of two readings by itself; at one place it is the same.
func TestUnknownDoesNotCancel(t *testing.T) {
	c := curve(t)(NewCurve([]Point{{At: 0, Own: 0.5e-6}, {At: mm("25"), Error: mm("0.02"), Own: 0.5e-6}}))
	beyond := 20 / math.Sqrt(3)
	at := func(f float64) float64 { return 2 * f * (1 - f) * beyond }
	for _, k := range []struct {
		name, first, second string
		coefficients        [2]float64
		sigma               float64 // of what was taken off, in micrometres
	}{
		{"two readings beyond", "50", "30", [2]float64{1, -1}, math.Hypot(beyond, beyond)},
		{"one reading beyond twice", "50", "50", [2]float64{1, -1}, 0},
		{"between the masters", "20", "5", [2]float64{1, -1}, math.Hypot(math.Hypot(at(0.8), at(0.2)), math.Hypot(0.6*0.5, 0.6*0.5))},
		{"added up between the masters", "20", "5", [2]float64{0.5, 0.5}, math.Hypot((at(0.8)+at(0.2))/2, math.Hypot(0.5*0.5, 0.5*0.5))},
	} {
		j := Job{Value: mm("20"), Low: mm("19.99"), High: mm("20.01"), Exact: true, Uses: []Use{{Shown: mm(k.first), Coefficient: k.coefficients[0]}, {Shown: mm(k.second), Coefficient: k.coefficients[1]}}}
		r, err := Correct(j, Constant(time.Time{}, c), 9500)
		if err != nil || math.Abs(r.Standard/1e6-k.sigma) > 1e-6 {
			t.Errorf("%s: %g um, want %g; %v", k.name, r.Standard/1e6, k.sigma, err)
		}
	}
	j := Job{Value: mm("20"), Low: mm("19.99"), High: mm("20.01"), Standard: um("1"), Uses: []Use{{Shown: mm("50"), Coefficient: 1}, {Shown: mm("30"), Coefficient: -1}}}
	if r, err := Correct(j, Constant(time.Time{}, c), 9500); err != nil || r.After != uncertainty.Undecided {
		t.Errorf("50 mm less 30 mm, both beyond 25: %+v, %v", r, err)
	}
}

// TestUnknownIsEven: a value of 5 mm known to 0.5 um (normal), half way between masters of
// 0 and 10 mm that are 10 um apart: 5 um come off, and are known to 5 um either way, evenly.
// By hand, without an upper limit: (4.6 + 5) / 10 of the even part is above the lower limit,
// less the mean of what the normal part z takes beyond its end 0.4 um further, in tenths of
// um: 0.5 (0.2897 - 0.8 * 0.2119) / 10 with the table's values at 0.4 / 0.5. As one normal
// distribution it would be 0.942.
func TestUnknownIsEven(t *testing.T) {
	c := curve(t)(NewCurve([]Point{{At: 0}, {At: mm("10"), Error: mm("0.01")}}))
	j := Job{Value: mm("5"), Low: mm("4.9904"), High: NoHigh, Standard: um("0.5"), Uses: []Use{{Shown: mm("5"), Coefficient: 1}}}
	r, err := Correct(j, Constant(time.Time{}, c), 9500)
	if err != nil || math.Abs(r.ProbabilityAfter.Float()-(0.96-0.5*(0.2897-0.8*0.2119)/10)) > 1e-4 || r.After != uncertainty.Conforms {
		t.Errorf("%+v, %v; want 0.9540", r, err)
	}
}

// TestExactValue: a standard uncertainty of 0 that is known takes in what is not known of
// the error; one that is not known leaves it to the limits.
func TestExactValue(t *testing.T) {
	c := curve(t)(Flat(um("10"), 1e-6))
	for _, exact := range []bool{true, false} {
		j := Job{Value: mm("20"), Low: mm("19.99"), High: gauge.Length(mm("20.006")), Exact: exact, Uses: []Use{{Coefficient: 1}}}
		want := uncertainty.Conforms
		if exact {
			want = uncertainty.Undecided // on the limit, known to 1 um
		}
		if r, err := Correct(j, Constant(time.Time{}, c), 9500); err != nil || r.Known != exact || r.After != want {
			t.Errorf("exact %t: %+v, %v", exact, r, err)
		}
	}
}
