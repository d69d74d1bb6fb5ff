package recall

import (
	"math"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// mm is a length in millimetres.
func mm(text string) gauge.Length { return gauge.MustLength(text, gauge.Millimetre) }

// sum is the standard uncertainty of an error, in micrometres.
func sum(o Off) float64 { return Sigma(o.AddTo(nil, 1)) / 1e6 }

// TestCurve: the master of 25 mm shows 60 um too much, that of 0 nothing, both known to
// 3 um, of which 2 um are of both. Half way 30 um come off. Uncertainty there, by hand:
// 2 um, half of root 5 twice, and 60/2 um either way evenly.
func TestCurve(t *testing.T) {
	own := math.Sqrt(5) * 1e-6
	c := curve(t)(NewCurve([]Point{{"block", mm("25"), mm("0.06"), own, 2e-6}, {"zero", 0, 0, own, 2e-6}}))
	gap := 60 / math.Sqrt(3)
	for _, k := range []struct {
		shown, off string
		sigma      float64
		beyond     bool
	}{
		{"0", "0", 3, false},
		{"12.5", "0.03", math.Sqrt(4 + 5*0.5 + gap*gap/4), false},
		{"5", "0.012", math.Sqrt(4 + 5*(0.64+0.04) + math.Pow(gap*2*0.2*0.8, 2)), false},
		{"25", "0.06", 3, false},
		{"30", "0.06", math.Sqrt(9 + gap*gap), true},
		{"-0.001", "0", math.Sqrt(9 + gap*gap), true},
	} {
		off := c.At(mm(k.shown))
		if off.Error != mm(k.off) || math.Abs(sum(off)-k.sigma) > 1e-9 || off.Beyond != k.beyond {
			t.Errorf("at %s: %d, %g um, %t; want %s, %g, %t", k.shown, off.Error, sum(off), off.Beyond, k.off, k.sigma, k.beyond)
		}
	}
	if got := c.Largest(); got.Name != "block" {
		t.Errorf("the largest is at %s", got.Name)
	}
}

// TestDifferenceOnACurve: of two readings of one gauge each has its own error; what both
// points share cancels, what each has for itself does not.
func TestDifferenceOnACurve(t *testing.T) {
	c := curve(t)(NewCurve([]Point{{At: 0, Own: 1e-6, Shared: 7e-6}, {At: mm("25"), Error: mm("0.06"), Own: 1e-6, Shared: 7e-6}}))
	j := Job{Value: mm("25"), Low: mm("24.9"), High: mm("25"), Standard: 1, Uses: []Use{{Shown: mm("25"), Coefficient: 1}, {Shown: 0, Coefficient: -1}}}
	r, err := Correct(j, Constant(time.Time{}, c), 9500)
	if err != nil || r.Corrected != mm("24.94") || math.Abs(r.Standard-math.Sqrt2*1e6) > 1 || r.After != uncertainty.Conforms || r.Beyond {
		t.Errorf("%+v, %v", r, err)
	}
	j.Uses = []Use{{Shown: mm("10"), Coefficient: 1}, {Shown: mm("10"), Coefficient: -1}}
	if r, err = Correct(j, Constant(time.Time{}, c), 9500); err != nil || r.Corrected != mm("25") || r.Standard != 1 {
		t.Errorf("of two readings at one place: %+v, %v", r, err)
	}
}

// TestCurveOfOnePoint holds everywhere, and one master from both sides is one point.
func TestCurveOfOnePoint(t *testing.T) {
	c := curve(t)(Flat(um("20"), 1e-6))
	if off := c.At(mm("300")); off.Error != um("20") || off.Beyond || sum(off) != 1 {
		t.Errorf("%+v", off)
	}
	c = curve(t)(NewCurve([]Point{{At: 5, Error: um("10"), Own: 1e-6}, {At: 5, Error: um("16"), Own: 1e-6}}))
	if off := c.At(5); off.Error != um("13") || math.Abs(sum(off)-2) > 1e-9 { // 1 and 3/sqrt(3)
		t.Errorf("%+v, %g", off, sum(off))
	}
}

// TestGrowingCurve: at each reading the error grows evenly; what both checks share is no
// smaller for being there twice.
func TestGrowingCurve(t *testing.T) {
	c := curve(t)(NewCurve([]Point{{At: 0, Shared: 3e-6, Own: 4e-6}, {At: mm("25"), Error: mm("0.06"), Shared: 3e-6, Own: 4e-6}}))
	off := must(t)(Growing(day(0), day(10), c))(day(5), mm("25"))
	if off.Error != mm("0.03") || math.Abs(sum(off)-math.Sqrt(9+8)) > 1e-9 {
		t.Errorf("%+v, %g", off, sum(off))
	}
}

// TestNothingKnownDecidesByTheLimit: without the uncertainty of what was measured the
// limits decide by themselves, whatever is known of the error.
func TestNothingKnownDecidesByTheLimit(t *testing.T) {
	e := Constant(time.Time{}, curve(t)(Flat(um("20"), 30e-6)))
	r, err := Correct(Job{Value: um("121"), Low: um("100"), High: um("200"), Uses: []Use{{Coefficient: 1}}}, e, 9500)
	if err != nil || r.After != uncertainty.Conforms || r.Standard != 0 {
		t.Errorf("%+v, %v", r, err)
	}
}

func TestCurvesRefused(t *testing.T) {
	for want, points := range map[string][]Point{
		"the error has no points": nil,
		"point 2: the uncertainty of the error must be a finite number that is not negative": {{}, {Own: -1}},
		"point 1: a value of the job or of the error is larger than one kilometre":           {{At: gauge.MaxLength + 1}},
	} {
		if _, err := NewCurve(points); toldOf(err) != want {
			t.Errorf("got %v, want %s", toldOf(err), want)
		}
	}
}
