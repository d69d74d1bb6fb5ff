package uncertainty

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

func TestGrubbsOfTheHandbook(t *testing.T) {
	x := readColumns(t, "statistics/grubbs_uranium.csv")["y"]
	for _, side := range []Side{EitherSide, LargestSide} {
		index, g := Grubbs(x, side, 0)
		if x[index] != 245.57 {
			t.Errorf("side %d: %v stands out, published is 245.57", side, x[index])
		}
		compare(t, "HB-GRUBBS", map[string]float64{
			"G":                       g,
			"critical, one-sided 5 %": GrubbsCritical(len(x), 0.05, LargestSide),
			"critical, two-sided 5 %": GrubbsCritical(len(x), 0.05, EitherSide),
		})
	}
	if index, g := Grubbs(x, SmallestSide, 0); x[index] != 199.31 || g > 1 {
		t.Errorf("the smallest is %v with g %v, it is 199.31 and does not stand out", x[index], g)
	}
}

// TestGrubbsTable compares with three-decimal tables as widely reproduced.
// They differ from the formula by up to 0.00084; the copy read misprints 2.954
// for 2.854 at n 19, one-sided 1 %.
func TestGrubbsTable(t *testing.T) {
	columns := readColumns(t, "statistics/grubbs_critical.csv")
	for _, c := range []struct {
		column string
		level  Level
		side   Side
	}{
		{"one05", 0.05, LargestSide},
		{"one01", 0.01, SmallestSide},
		{"two05", 0.05, EitherSide},
		{"two01", 0.01, EitherSide},
	} {
		rows := 0
		for i, n := range columns["n"] {
			got := GrubbsCritical(int(n), c.level, c.side)
			if want := columns["crit_"+c.column][i]; math.Abs(got-want) > 6e-7 {
				t.Errorf("n %v, %s: %.7f, recomputed %.6f", n, c.column, got, want)
			}
			printed := columns["pub_"+c.column][i]
			if misprint := printed == 2.954; !misprint && math.Abs(got-printed) > 0.00085 {
				t.Errorf("n %v, %s: %.7f, printed %.3f", n, c.column, got, printed)
			}
			rows++
		}
		if rows != 48 {
			t.Errorf("%s has %d rows, n is 3 to 50", c.column, rows)
		}
	}
}

func TestESDOfTheHandbook(t *testing.T) {
	x := readColumns(t, "statistics/esd_rosner.csv")["y"]
	deviates, outliers := ESD(x, 10, 0.05, 0)
	got := map[string]float64{}
	for i, d := range deviates {
		got[fmt.Sprintf("R%d", i+1)] = d.G
		got[fmt.Sprintf("lambda%d", i+1)] = d.Critical
	}
	compare(t, "HB-ESD", got)
	var values []float64
	for _, d := range deviates[:outliers] {
		values = append(values, x[d.Index])
	}
	if want := []float64{6.01, 5.42, 5.34}; !slices.Equal(values, want) {
		t.Errorf("outliers %v, published are %v", values, want)
	}
	if _, g := Grubbs(x, EitherSide, 0); g > GrubbsCritical(len(x), 0.05, EitherSide) {
		t.Error("a single test finds an outlier, published is that they hide each other")
	}
}

// TestFalseAlarms draws normal values without any outlier: as many alarms as
// the level says, within four standard deviations of the binomial count.
func TestFalseAlarms(t *testing.T) {
	const rounds, level = 5000, 0.05
	random := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{3, 5, 10, 25} {
		critical := GrubbsCritical(n, level, EitherSide)
		grubbs, esd := 0, 0
		for range rounds {
			x := normal(random, n, 1)
			if _, g := Grubbs(x, EitherSide, 0); g > critical {
				grubbs++
			}
			if n == 25 {
				if _, outliers := ESD(x, 3, level, 0); outliers > 0 {
					esd++
				}
			}
		}
		within := 4 * math.Sqrt(rounds*level*(1-level))
		if off := math.Abs(float64(grubbs) - rounds*level); off > within {
			t.Errorf("Grubbs, n %d: %d alarms in %d, expected 5 %%", n, grubbs, rounds)
		}
		if off := math.Abs(float64(esd) - rounds*level); n == 25 && off > within {
			t.Errorf("ESD, n %d: %d alarms in %d, expected 5 %%", n, esd, rounds)
		}
	}
}

func TestWhatCannotStandOut(t *testing.T) {
	for _, x := range [][]float64{nil, {1}, {1, 9}, {4, 4, 4}} {
		if index, g := Grubbs(x, EitherSide, 0); index != 0 || g != 0 {
			t.Errorf("%v: index %d, g %v", x, index, g)
		}
		if _, outliers := ESD(x, 5, 0.05, 0); outliers != 0 {
			t.Errorf("%v: %d outliers", x, outliers)
		}
	}
	if c := GrubbsCritical(2, 0.05, EitherSide); !math.IsNaN(c) {
		t.Errorf("critical value of two values is %v", c)
	}
	// Two that agree to the digit are not infinitely sure of each other.
	x := []float64{0, 0, 3}
	if _, g := Grubbs(x, EitherSide, 0); g <= GrubbsCritical(3, 0.05, EitherSide) {
		t.Errorf("g %v of exact values", g)
	}
	if _, g := Grubbs(x, EitherSide, 1); g > GrubbsCritical(3, 0.05, EitherSide) {
		t.Errorf("g %v of values rounded to 1", g)
	}
}

func TestESDLeavesItsValuesAlone(t *testing.T) {
	x := []float64{5, 1, 1, 1, 2, 1, 1, 1, 1, 1, 1, 1, 1, 1, 2, 30}
	given := slices.Clone(x)
	deviates, outliers := ESD(x, 3, 0.05, 0)
	if !slices.Equal(x, given) {
		t.Errorf("%v has become %v", given, x)
	}
	if outliers != 2 || deviates[0].Index != 15 || deviates[1].Index != 0 {
		t.Errorf("%d outliers in %v, they are 15 and 0", outliers, deviates)
	}
}

func normal(random *rand.Rand, n int, sd float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = sd * random.NormFloat64()
	}
	return x
}

func BenchmarkGrubbsCritical(b *testing.B) {
	for b.Loop() {
		GrubbsCritical(10, 0.05, EitherSide)
	}
}
