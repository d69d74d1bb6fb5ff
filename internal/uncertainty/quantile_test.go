package uncertainty

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// TestQuantilesAgainstClosedForms: Student's t with 1 and 2 degrees of freedom,
// chi-square with 2 and F with 2 in the numerator have quantiles that can be
// written down (textbook results, from memory).
func TestQuantilesAgainstClosedForms(t *testing.T) {
	upper := map[string]func(q float64) (got, want float64){ // q is the probability above
		"t1": func(q float64) (float64, float64) { return -StudentQuantile(q, 1), 1 / math.Tan(math.Pi*q) },
		"t2": func(q float64) (float64, float64) { return -StudentQuantile(q, 2), (1 - 2*q) / math.Sqrt(2*q*(1-q)) },
	}
	lower := map[string]func(p float64) (got, want float64){
		"chi2":  func(p float64) (float64, float64) { return ChiSquareQuantile(p, 2), -2 * math.Log1p(-p) },
		"F2,1":  func(p float64) (float64, float64) { return FQuantile(p, 2, 1), 0.5 * math.Expm1(-2*math.Log1p(-p)) },
		"F2,30": func(p float64) (float64, float64) { return FQuantile(p, 2, 30), 15 * math.Expm1(-math.Log1p(-p)/15) },
		"F2,1e3": func(p float64) (float64, float64) {
			return FQuantile(p, 2, 1000), 500 * math.Expm1(-math.Log1p(-p)/500)
		},
	}
	for _, p := range []float64{1e-6, 1e-4, 0.001, 0.01, 0.025, 0.05, 0.1, 0.3, 0.45} {
		for name, f := range upper {
			if got, want := f(p); math.Abs(got-want) > 1e-10*want {
				t.Errorf("%s above %v: %.16g, closed form %.16g", name, p, got, want)
			}
		}
	}
	for _, p := range []float64{1e-6, 0.001, 0.025, 0.1, 0.5, 0.9, 0.975, 0.999, 1 - 1e-6} {
		for name, f := range lower {
			if got, want := f(p); math.Abs(got-want) > 1e-10*want {
				t.Errorf("%s below %v: %.16g, closed form %.16g", name, p, got, want)
			}
		}
	}
}

// TestQuantilesAgreeWithEachOther: F(1, n) is the square of t(n), F(n, huge) is
// chi-square / n, and t is odd.
func TestQuantilesAgreeWithEachOther(t *testing.T) {
	for _, dof := range []float64{1, 2, 3.7, 16.2, 50, 1000} {
		for _, p := range []float64{1e-6, 0.001, 0.05, 0.25} {
			s := StudentQuantile(p, dof)
			if f := FQuantile(1-2*p, 1, dof); math.Abs(f-s*s) > 1e-9*s*s { // 1-2p costs digits
				t.Errorf("dof %v, p %v: t squared %.15g, F %.15g", dof, p, s*s, f)
			}
			if mirrored := StudentQuantile(1-p, dof); math.Abs(mirrored+s) > 1e-9*-s {
				t.Errorf("dof %v: t(%v) %.15g, t(%v) %.15g", dof, p, s, 1-p, mirrored)
			}
		}
	}
	for _, p := range []float64{0.001, 0.2, 0.975} {
		if got, want := StudentQuantile(p, math.Inf(1)), NormalQuantile(p); got != want {
			t.Errorf("t of infinite dof is %v, normal %v", got, want)
		}
	}
}

// TestQuantilesGoBack: the distribution at the quantile gives the probability.
func TestQuantilesGoBack(t *testing.T) {
	for _, dof := range []float64{1, 2, 3.7, 10, 100, 1000} {
		for _, p := range []float64{1e-6, 0.001, 0.025, 0.3, 0.49} {
			for name, got := range map[string]float64{
				"normal":  distuv.UnitNormal.CDF(NormalQuantile(p)),
				"t":       distuv.StudentsT{Sigma: 1, Nu: dof}.CDF(StudentQuantile(p, dof)),
				"chi2":    distuv.ChiSquared{K: dof}.CDF(ChiSquareQuantile(p, dof)),
				"F":       distuv.F{D1: dof, D2: 7}.CDF(FQuantile(p, dof, 7)),
				"F above": distuv.F{D1: 7, D2: dof}.CDF(1 / FQuantile(1-p, dof, 7)),
			} {
				if math.Abs(got-p) > 1e-10*p+1e-15 { // 1-p costs digits

					t.Errorf("%s, %v degrees of freedom: the quantile of %v has %.15g", name, dof, p, got)
				}
			}
		}
	}
	for _, p := range []float64{0.4995, 0.49999, 0.4999999, 0.5, 0.5000001} {
		for _, dof := range []float64{1, 2, 1000} {
			// The density at 0 is 1/pi for 1 degree of freedom and grows to 1/sqrt(2 pi).
			low, high := math.Abs(p-0.5)*math.Sqrt(2*math.Pi), math.Abs(p-0.5)*math.Pi
			if got := math.Abs(StudentQuantile(p, dof)); got < low*(1-1e-6)-1e-6 || got > high*(1+1e-6)+1e-6 {
				t.Errorf("t(%v; %v) is %.9f, it is within %.9f and %.9f", p, dof, got, low, high)
			}
		}
	}
}

func TestPublishedQuantiles(t *testing.T) {
	compare(t, "HB-F", map[string]float64{"F(0.95;5,30)": FQuantile(0.95, 5, 30)})
	compare(t, "GUM-H5", map[string]float64{
		"F0.95(9,40)":  FQuantile(0.95, 9, 40),
		"F0.975(9,40)": FQuantile(0.975, 9, 40),
	})
	compare(t, "HB-GEAR", map[string]float64{
		"F0.95(9,90)":    FQuantile(0.95, 9, 90),
		"chi2 0.025, 99": ChiSquareQuantile(0.025, 99),
		"chi2 0.975, 99": ChiSquareQuantile(0.975, 99),
	})
}

// TestStudentTable compares with the table of the e-Handbook. Its column 0.999
// is off by up to 0.004 for 1 and 7 to 12 degrees of freedom.
func TestStudentTable(t *testing.T) {
	columns := readColumns(t, "statistics/student_t.csv")
	for i, dof := range columns["nu"] {
		p, want := columns["cum_p"][i], columns["t"][i]
		got := StudentQuantile(p, dof)
		if math.Abs(got-want) > 6e-7 {
			t.Errorf("t(%v; %v) is %.7f, recomputed %.6f", p, dof, got, want)
		}
		within := 0.0006
		if p == 0.999 {
			within = 0.0045
		}
		if printed := columns["printed"][i]; math.Abs(got-printed) > within {
			t.Errorf("t(%v; %v) is %.7f, printed %v", p, dof, got, printed)
		}
	}
	if n := len(columns["nu"]); n != 606 {
		t.Errorf("the table has %d values, 101 rows of 6 are published", n)
	}
}

func TestQuantilesThatAreNot(t *testing.T) {
	for _, p := range []float64{-1, 0, 1, 2, math.NaN()} {
		for name, v := range map[string]float64{
			"normal": NormalQuantile(p), "t": StudentQuantile(p, 3), "chi2": ChiSquareQuantile(p, 3), "F": FQuantile(p, 3, 3),
		} {
			if !math.IsNaN(v) {
				t.Errorf("%s quantile of %v is %v", name, p, v)
			}
		}
	}
	for _, dof := range []float64{-1, 0, math.NaN()} {
		for name, v := range map[string]float64{
			"t": StudentQuantile(0.9, dof), "chi2": ChiSquareQuantile(0.9, dof), "F": FQuantile(0.9, dof, 3), "1/F": FQuantile(0.9, 3, dof),
		} {
			if !math.IsNaN(v) {
				t.Errorf("%s quantile with %v degrees of freedom is %v", name, dof, v)
			}
		}
	}
}
