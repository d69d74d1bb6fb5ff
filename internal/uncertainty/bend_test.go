package uncertainty

import (
	"math"
	"testing"
)

// around makes a model of deviations from the estimates.
func around(m Model, inputs []Input) (Model, []Input) {
	at := make([]float64, len(inputs))
	deviating := make([]Input, len(inputs))
	for i, in := range inputs {
		at[i], deviating[i] = in.Estimate, in
		deviating[i].Estimate = 0
	}
	middle := m(at)
	x := make([]float64, len(inputs))
	return func(d []float64) float64 {
		for i := range x {
			x[i] = at[i] + d[i]
		}
		return m(x) - middle
	}, deviating
}

// TestMassCalibration is JCGM 101, 9.3, with its table 5 (both from memory): by
// slopes the densities of the weights count for nothing, as the air has the
// conventional density, and the standard uncertainty is 0.0539 mg in the place of
// 0.0754 mg.
func TestMassCalibration(t *testing.T) {
	inputs := []Input{
		{Name: "standard", Estimate: 100_000, Standard: 0.050, Distribution: Normal},
		{Name: "difference", Estimate: 1.234, Standard: 0.020, Distribution: Normal},
		{Name: "density of the air", Estimate: 1.2, Standard: FromHalfWidth(0.1, Rectangular), Distribution: Rectangular},
		{Name: "density of the weight", Estimate: 8000, Standard: FromHalfWidth(1000, Rectangular), Distribution: Rectangular},
		{Name: "density of the standard", Estimate: 8000, Standard: FromHalfWidth(50, Rectangular), Distribution: Rectangular},
	}
	m := func(x []float64) float64 { return (x[0]+x[1])*(1+(x[2]-1.2)*(1/x[3]-1/x[4])) - 100_000 }
	slopes := Sensitivities(m, inputs)
	b := combine(t, inputs, slopes...)
	near(t, "by slopes", b.Standard, 0.0539, 5e-5)
	near(t, "with the second order", math.Sqrt(b.Standard*b.Standard+SecondOrder(m, inputs)), 0.0750, 2e-4)
	off, inputs := around(m, inputs)
	if total, most := Departs(off, slopes, inputs); total < 0.05*b.Standard || most != 2 && most != 3 {
		t.Errorf("it departs by %g, most by %s", total, inputs[most].Name)
	}
	bent, straight, err := MonteCarloBoth(off, slopes, inputs, 1_000_000, 1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "drawn", bent.Standard(), 0.0754, 2e-4)
	near(t, "drawn along the slopes", straight.Standard(), 0.0539, 2e-4)
	low, high := bent.Shortest(0.95)
	near(t, "shortest interval, low", 1.234+low, 1.0834, 3e-3)
	near(t, "shortest interval, high", 1.234+high, 1.3825, 3e-3)
	if !Bent(bent, straight, b.Standard, 0.95) {
		t.Error("the straight line is taken to be good")
	}
}

// TestComparisonLoss is JCGM 101, 9.4.2 with its table 6 (from memory), the loss
// of power by two parts of a reflection, each known to 0.005, in 1e-6. The means
// and standard deviations are x*x + 2*u*u and sqrt(4*x*x*u*u + 4*u*u*u*u); at x of
// nought the interval is that of a chi-square of two degrees of freedom.
func TestComparisonLoss(t *testing.T) {
	const u = 0.005
	for _, c := range []struct {
		x                                 float64
		mean, standard, slopes, low, high float64
		bent                              bool
	}{
		{0, 50, 50, 0, 0, 150, true},
		{0.010, 150, 112, 100, 0, 367, true},
		{0.050, 2551, 502, 500, 1590, 3543, true},
		{0.500, 250_050, 5000.25, 5000, 240_253, 259_853, false},
	} {
		inputs := []Input{
			{Name: "real part", Estimate: c.x, Standard: u, Distribution: Normal},
			{Name: "imaginary part", Standard: u, Distribution: Normal},
		}
		m := func(x []float64) float64 { return 1e6 * (float64(x[0]*x[0]) + float64(x[1]*x[1])) }
		slopes := Sensitivities(m, inputs)
		b := combine(t, inputs, slopes...)
		near(t, "by slopes", b.Standard, c.slopes, 0.5)
		near(t, "with the second order", math.Sqrt(b.Standard*b.Standard+SecondOrder(m, inputs)), 1e6*math.Sqrt(4*c.x*c.x*u*u+4*u*u*u*u), 1e-6*c.standard)
		off, deviating := around(m, inputs)
		bent, straight, err := MonteCarloBoth(off, slopes, deviating, 1_000_000, 1)
		if err != nil {
			t.Fatal(err)
		}
		value := 1e6 * c.x * c.x
		low, high := bent.Shortest(0.95)
		near(t, "mean", value+bent.Mean(), c.mean, 0.5+0.004*c.standard)
		near(t, "standard", bent.Standard(), c.standard, 0.5+0.003*c.standard)
		near(t, "shortest interval, low", value+low, c.low, 1+0.02*c.standard)
		near(t, "shortest interval, high", value+high, c.high, 1+0.02*c.standard)
		if got := Bent(bent, straight, b.Standard, 0.95); got != c.bent {
			t.Errorf("x %g: bent %v", c.x, got)
		}
	}
}

// TestDepartsNotice: a bend is noticed where its inputs reach it, and not where
// they do not.
func TestDepartsNotice(t *testing.T) {
	both := []Input{{Name: "a", Standard: 1, Distribution: Normal}, {Name: "b", Standard: 1, Distribution: Normal}}
	for _, c := range []struct {
		name   string
		m      Model
		slopes []float64
		bent   bool
	}{
		{"a line", func(x []float64) float64 { return 2*x[0] - x[1] }, []float64{2, -1}, false},
		{"an absolute value far from nought", func(x []float64) float64 { return math.Abs(10 + x[0] - x[1]) }, []float64{1, -1}, false},
		{"an absolute value at 1.5", func(x []float64) float64 { return math.Abs(1.5 + x[0]) }, []float64{1, 0}, true},
		{"a product around nought", func(x []float64) float64 { return x[0] * x[1] }, []float64{0, 0}, true},
		{"a product of large values", func(x []float64) float64 { return (1000 + x[0]) * (1000 + x[1]) }, []float64{1000, 1000}, false},
		{"the larger of two alike", func(x []float64) float64 { return max(x[0], x[1]) }, []float64{1, 0}, true},
		{"the larger of two apart", func(x []float64) float64 { return max(x[0], x[1]-10) }, []float64{1, 0}, false},
		{"a square at nought", func(x []float64) float64 { return x[1] * x[1] }, []float64{0, 0}, true},
	} {
		total, _ := Departs(c.m, c.slopes, both)
		if u := math.Hypot(c.slopes[0], c.slopes[1]); total > 0.05*u != c.bent {
			t.Errorf("%s departs by %g of %g", c.name, total, u)
		}
	}
}

// TestSampleWith: what is added has its own standard deviation.
func TestSampleWith(t *testing.T) {
	one := Input{Name: "one", Standard: 3, Distribution: Normal}
	s, err := MonteCarlo(func(x []float64) float64 { return x[0] }, []Input{one}, 200_000, 1)
	if err != nil {
		t.Fatal(err)
	}
	both := s.With([]Input{{Name: "more", Standard: 4, Distribution: Rectangular}}, 2)
	near(t, "standard", both.Standard(), 5, 0.03)
	near(t, "before", s.Standard(), 3, 0.02)
}
