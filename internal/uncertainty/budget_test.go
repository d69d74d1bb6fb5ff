package uncertainty

import (
	"math"
	"testing"
)

func TestInputsRefused(t *testing.T) {
	good := Input{Name: "gauge", Standard: 1, Distribution: Normal}
	for _, c := range []struct {
		name   string
		change func(*Input)
		c      []float64
		want   string
	}{
		{"distribution", func(in *Input) { in.Distribution = "bell" }, []float64{1}, `input "gauge": unknown distribution "bell": it is one of normal, student, rectangular, triangular, u-shaped`},
		{"estimate", func(in *Input) { in.Estimate = math.NaN() }, []float64{1}, `input "gauge": the estimate NaN is not a number to compute with`},
		{"negative", func(in *Input) { in.Standard = -1 }, []float64{1}, `input "gauge": the standard uncertainty -1 is not a finite number of at least 0`},
		{"no limits", func(in *Input) { in.Standard = FromHalfWidth(1, Normal) }, []float64{1}, `input "gauge": the standard uncertainty NaN is not a finite number of at least 0`},
		{"freedom", func(in *Input) { in.Freedom = -2 }, []float64{1}, `input "gauge": -2 degrees of freedom: give a number over 0, or 0 for infinite`},
		{"sensitivity", func(*Input) {}, []float64{math.Inf(1)}, `input "gauge": the sensitivity +Inf is not a number to compute with`},
		{"count", func(*Input) {}, []float64{1, 1}, `1 inputs have 2 sensitivities: each input needs one`},
	} {
		in := good
		c.change(&in)
		_, err := Combine([]Input{in}, c.c)
		if err == nil || err.Error() != c.want {
			t.Errorf("%s: error %v, it should be %s", c.name, err, c.want)
		}
		if in == good {
			continue
		}
		_, err = MonteCarlo(func(x []float64) float64 { return x[0] }, []Input{in}, 10, 1)
		if err == nil || err.Error() != c.want {
			t.Errorf("%s, drawn: error %v, it should be %s", c.name, err, c.want)
		}
	}
}

func TestBudgetWithoutUncertainty(t *testing.T) {
	b := combine(t, []Input{{Name: "x", Distribution: Normal}}, 1)
	if b.Standard != 0 || !math.IsInf(b.Freedom, 1) || b.Contributions[0].Share != 0 {
		t.Errorf("the budget is %+v", b)
	}
	for _, c := range []struct{ estimate, low, high, want float64 }{
		{1, 1, 2, 1}, {2, 1, 2, 1}, {0.999, 1, 2, 0}, {5, math.Inf(-1), math.Inf(1), 1}, {1, 2, 1, 0},
	} {
		if got := b.Probability(c.estimate, c.low, c.high); got != c.want {
			t.Errorf("probability of %+v is %v", c, got)
		}
	}
	if _, found := b.Dominant(); found {
		t.Error("nothing dominates nothing")
	}
}

func TestSmallProbabilitiesKeepTheirDigits(t *testing.T) {
	b := Budget{Standard: 1, Freedom: math.Inf(1)}
	// P(z > 10) is from memory, and stored in scipy.json too.
	for _, p := range []float64{b.Probability(0, 10, math.Inf(1)), b.Probability(0, math.Inf(-1), -10)} {
		near(t, "P(z > 10)", p, 7.619853024160526e-24, 1e-35)
	}
	if p := b.Probability(math.NaN(), 0, 1); !math.IsNaN(p) {
		t.Errorf("the probability of NaN is %v", p)
	}
}

// TestFreedomOfExtremes: nothing over- or underflows in fourth powers.
func TestFreedomOfExtremes(t *testing.T) {
	for _, scale := range []float64{1e-120, 1, 1e120} {
		in := Input{Name: "x", Standard: scale, Distribution: Student, Freedom: 5}
		b := combine(t, []Input{in, in}, 1, 1)
		near(t, "freedom", b.Freedom, 10, 1e-12)
		near(t, "standard", b.Standard/scale, math.Sqrt2, 1e-15)
	}
}

// TestDominant: a sample of the whole budget agrees with what is found.
func TestDominant(t *testing.T) {
	for _, c := range []struct {
		name        string
		d           Distribution
		share       float64
		restFreedom float64
		want        bool
	}{
		{"rectangular alone", Rectangular, 1, 0, true},
		{"rectangular, most", Rectangular, 0.85, 0, true},
		{"rectangular, over half", Rectangular, 0.6, 0, true},
		{"rectangular, half", Rectangular, 0.48, 0, false},
		{"rectangular, little", Rectangular, 0.2, 0, false},
		{"sine alone", UShaped, 1, 0, true},
		{"sine, much", UShaped, 0.78, 0, true},
		{"sine, half", UShaped, 0.52, 0, true},
		{"sine, less", UShaped, 0.42, 0, false},
		{"triangular alone", Triangular, 1, 0, true},
		{"triangular, most", Triangular, 0.85, 0, false},
		{"normal alone", Normal, 1, 0, false},
		{"normal, most", Normal, 0.99, 0, false},
		{"rectangular, little, some readings", Rectangular, 0.1, 9, false},
		{"rectangular, nearly all, few readings", Rectangular, 0.97, 3, true},
	} {
		b := combine(t, []Input{
			{Name: "rest", Standard: math.Sqrt(1 - c.share), Distribution: Student, Freedom: c.restFreedom},
			{Name: "one", Standard: math.Sqrt(c.share), Distribution: c.d},
		}, 1, 1)
		one, found := b.Dominant()
		if found != c.want || found && one.Name != "one" {
			t.Errorf("%s: found %v %q", c.name, found, one.Name)
		}
		// The comparison with a sample agrees.
		if differs := b.Differs(b.MonteCarlo(400_000, 5), 0.95); (differs > 0.05) != c.want {
			t.Errorf("%s: the sample's interval differs by %.4f", c.name, differs)
		}
	}
}

func TestDecide(t *testing.T) {
	for _, c := range []struct {
		inside, required float64
		want             Verdict
	}{
		{0.95, 0.95, Conforms},
		{1, 0.95, Conforms},
		{0.94995, 0.95, Conforms}, // rounds to 0.9500
		{0.94994, 0.95, Undecided},
		{0.5, 0.95, Undecided},
		{0.05006, 0.95, Undecided},
		{0.05004, 0.95, DoesNotConform}, // rounds to 0.0500
		{0, 0.95, DoesNotConform},
		{1.5, 0.95, Conforms},
		{math.NaN(), 0.95, Undecided},
		{1, math.NaN(), Undecided},
		{0.6, 0.5, Undecided},
		{0.4, 0.5, Undecided},
	} {
		if got := Decide(Rounded(c.inside), Rounded(c.required)); got != c.want {
			t.Errorf("%v of %v required: %s, it should be %s", c.inside, c.required, got, c.want)
		}
	}
}

// TestPlus: one more contribution is as one more line of the table.
func TestPlus(t *testing.T) {
	few := Input{Name: "few", Standard: 2, Distribution: Student, Freedom: 4}
	normal := Input{Name: "normal", Standard: 1.5, Distribution: Normal}
	got, want := combine(t, []Input{few}, 1).Plus(1.5), combine(t, []Input{few, normal}, 1, 1)
	near(t, "standard", got.Standard, want.Standard, 1e-15)
	near(t, "freedom", got.Freedom, want.Freedom, 1e-12)
	if alone := (Budget{Freedom: math.Inf(1)}).Plus(3); alone.Standard != 3 || !math.IsInf(alone.Freedom, 1) {
		t.Errorf("%+v", alone)
	}
}

// TestSecondOrderOfSquare: the variance of the square of a normal value with
// mean m is 4 m2 u2 + 2 u4 (textbook, from memory): the second term is of second
// order.
func TestSecondOrderOfSquare(t *testing.T) {
	in := []Input{{Name: "x", Estimate: 3, Standard: 0.5, Distribution: Normal}}
	square := func(x []float64) float64 { return x[0] * x[0] }
	near(t, "sensitivity", Sensitivities(square, in)[0], 6, 1e-12)
	near(t, "second order", SecondOrder(square, in), 2*0.0625, 1e-12)
	// f = x y y: bend by y y is 2x, twist by x y y is 2.
	two := []Input{{Name: "x", Estimate: 3, Standard: 0.5, Distribution: Normal}, {Name: "y", Estimate: 2, Standard: 0.1, Distribution: Normal}}
	f := func(x []float64) float64 { return x[0] * x[1] * x[1] }
	// 1/2 (6)^2 u_y^4 + 2 * 1/2 (4)^2 u_x^2 u_y^2 + f_x f_xyy u_x^2 u_y^2, f_x = 4 and f_xyy = 2.
	want := 0.5*36*1e-4 + 16*0.25*0.01 + 4*2*0.25*0.01
	near(t, "second order of x y y", SecondOrder(f, two), want, 1e-9)
	two[1].Standard = 0
	if c := Sensitivities(f, two); c[1] != 0 {
		t.Errorf("an exact input has sensitivity %v", c[1])
	}
}
