package master

import (
	"math"
	"testing"

	"gauged/internal/gauge"
)

func mm(t testing.TB, text string) gauge.Length { return gauge.MustLength(text, gauge.Millimetre) }

func lengths(t testing.TB, texts ...string) (all []gauge.Length) {
	for _, text := range texts {
		all = append(all, mm(t, text))
	}
	return all
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.Abs(got-want) > within {
		t.Errorf("%s is %g, want %g", what, got, want)
	}
}

// TestTemperature: 100 mm of steel at 11.5e-6/K grow by 1.15 um for one kelvin
// (coefficient: JCGM 100:2008, H.1.3.3); a gauge whose scale expands alike shows
// nothing of it.
func TestTemperature(t *testing.T) {
	steel := &gauge.Expansion{PerKelvin: gauge.MustLength("11.5", gauge.One)}
	in := Input{
		Points:      []Point{{Master: Master{ID: "block", Value: mm(t, "100"), Expansion: steel}, Readings: lengths(t, "100.00115")}},
		Temperature: &Temperature{Above: gauge.MustLength("1", gauge.One)},
	}
	if r := Evaluate(in); r.Error != 0 || r.Points[0].Reference != mm(t, "100.00115") {
		t.Errorf("error %d, reference %d", r.Error, r.Points[0].Reference)
	}
	in.Ability.Expansion = steel
	if r := Evaluate(in); r.Error != mm(t, "0.00115") {
		t.Errorf("a scale that expands too: error %d", r.Error)
	}
	in.Temperature = nil
	if r := Evaluate(in); r.Points[0].Reference != mm(t, "100") {
		t.Errorf("without a temperature the reference is %d", r.Points[0].Reference)
	}
}

// TestUncertainty: JCGM 100:2008, F.2.2.1 gives 0.29 of a step of the display; H.1.3.1
// gives 25 nm from a certificate of 0.075 um at k = 3.
func TestUncertainty(t *testing.T) {
	step := mm(t, "0.001")
	block := Master{ID: "block", Value: mm(t, "50"), Certified: &gauge.Expanded{Uncertainty: mm(t, "0.000075"), K: gauge.MustLength("3", gauge.One)}}
	r := Evaluate(Input{Points: []Point{{Master: block, Readings: lengths(t, "50")}}})
	near(t, "the master's", r.Points[0].Standard, 25e-9, 1e-15)
	r = Evaluate(Input{Points: []Point{{Master: Master{ID: "zero"}, Readings: lengths(t, "0")}}, Ability: gauge.Ability{Resolution: &step}})
	near(t, "the display's", r.Points[0].Standard, 1e-6/math.Sqrt(12), 1e-15)
	r = Evaluate(Input{Points: []Point{{Master: Master{ID: "zero"}, Readings: lengths(t, "0.001", "0.002", "0.003")}}})
	near(t, "that of the mean of three", r.Points[0].Standard, 1e-6/math.Sqrt(3), 1e-15)
	near(t, "the spread", r.Spread, 1e-6, 1e-15)
	r = Evaluate(Input{
		Points:  []Point{{Master: Master{ID: "zero"}, Readings: lengths(t, "0.001", "0.001")}},
		Ability: gauge.Ability{Repeats: &gauge.Pooled{Deviation: mm(t, "0.002"), Freedom: 20}},
	})
	near(t, "with the usual scatter", r.Points[0].Standard, 2e-6/math.Sqrt2, 1e-15)
}

func TestVerdicts(t *testing.T) {
	limit, usual := mm(t, "0.004"), &gauge.Pooled{Deviation: mm(t, "0.001"), Freedom: 20} // U of one reading: 2 um
	for shown, want := range map[string]Verdict{"25.002": Pass, "24.998": Pass, "25.0021": Undecided, "24.994": Undecided, "25.0061": Fail, "24.99": Fail} {
		r := Evaluate(Input{
			Points:  []Point{{Master: Master{ID: "zero"}, Readings: lengths(t, "0")}, {Master: Master{ID: "block", Value: mm(t, "25")}, Readings: lengths(t, shown)}},
			Ability: gauge.Ability{Error: &limit, Repeats: usual},
		})
		if r.Verdict != want || r.Worst.Master != "block" {
			t.Errorf("%s: %s at %s, want %s", shown, r.Verdict, r.Worst.Master, want)
		}
	}
	if r := Evaluate(Input{Points: []Point{{Readings: lengths(t, "1")}}}); r.Verdict != Unlimited {
		t.Errorf("without a limit: %s", r.Verdict)
	}
	if r := Evaluate(Input{}); r.Verdict != Undecided {
		t.Errorf("without a reading: %s", r.Verdict)
	}
}

func TestHysteresisAndMean(t *testing.T) {
	block := Master{ID: "block", Value: mm(t, "10")}
	r := Evaluate(Input{Points: []Point{
		{Master: Master{ID: "zero"}, Readings: lengths(t, "0.001")},
		{Master: block, Readings: lengths(t, "10.002")},
		{Master: block, Readings: lengths(t, "10.006"), Falling: true},
	}})
	if r.Hysteresis == nil || *r.Hysteresis != mm(t, "0.004") || r.Error != mm(t, "0.003") || r.Worst.Error != mm(t, "0.006") {
		t.Errorf("%+v", r)
	}
}
