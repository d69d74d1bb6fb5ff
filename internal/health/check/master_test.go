package check

import (
	"encoding/json"
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
	rigid := &gauge.Expansion{}
	in := Input{
		Points:      []Point{{Master: Master{ID: "block", Value: mm(t, "100"), Expansion: steel}, Readings: lengths(t, "100.00115")}},
		Temperature: &Temperature{Above: gauge.MustLength("1", gauge.One)},
		Ability:     gauge.Ability{Expansion: rigid},
	}
	if r := Evaluate(in); r.Error != 0 || r.Points[0].Reference != mm(t, "100.00115") || r.Points[0].Unstated != nil {
		t.Errorf("error %d, reference %d", r.Error, r.Points[0].Reference)
	}
	in.Ability.Expansion = steel
	if r := Evaluate(in); r.Error != mm(t, "0.00115") {
		t.Errorf("a scale that expands too: error %d", r.Error)
	}
	in.Temperature = nil
	if r := Evaluate(in); r.Points[0].Reference != mm(t, "100") || r.Points[0].Unstated != nil {
		t.Errorf("without a temperature the reference is %d", r.Points[0].Reference)
	}
}

// TestExpansionNotStated: 100 mm of steel at 30 degC are 11.5 um longer, and so is a
// scale of steel. Whether the scale is one is not stated: it is taken as the middle of a
// rigid one and one of aluminium, as in jobs, up to 11.5 um either way count as
// uncertainty, and a good gauge does not fail. A master of Invar, 1 um longer, is then
// 10.5 um shorter on that scale.
func TestExpansionNotStated(t *testing.T) {
	steel, limit := &gauge.Expansion{PerKelvin: gauge.MustLength("11.5", gauge.One)}, mm(t, "0.004")
	at := func(value, shown string, master, scale *gauge.Expansion) PointResult {
		r := Evaluate(Input{
			Points:      []Point{{Master: Master{ID: "block", Value: mm(t, value), Expansion: master}, Readings: lengths(t, shown)}},
			Temperature: &Temperature{Above: gauge.MustLength("10", gauge.One)},
			Ability:     gauge.Ability{Error: &limit, Repeats: &gauge.Pooled{Deviation: mm(t, "0.0001"), Freedom: 20}, Expansion: scale},
		})
		return r.Points[0]
	}
	if p := at("100", "100", steel, steel); p.Verdict != Pass {
		t.Errorf("steel on steel: %+v", p)
	}
	for name, c := range map[string]struct {
		p       PointResult
		most    string
		divisor float64
		error   string
	}{
		"of the scale":        {at("100", "100", steel, nil), "0.0115", math.Sqrt(3), "0"},
		"of the master":       {at("100", "100", nil, steel), "0.0115", math.Sqrt(3), "0"},
		"of both":             {at("100", "100", nil, nil), "0.023", math.Sqrt(6), "0"},
		"of a scale at Invar": {at("100", "100", &gauge.Expansion{PerKelvin: gauge.MustLength("1", gauge.One)}, nil), "0.0115", math.Sqrt(3), "0.0105"},
	} {
		if c.p.Verdict != Undecided || c.p.Error != mm(t, c.error) || c.p.Unstated == nil || *c.p.Unstated != mm(t, c.most) {
			t.Errorf("%s: %+v", name, c.p)
		}
		near(t, name, c.p.Standard, math.Hypot(mm(t, c.most).Metres()/c.divisor, 0.1e-6), 1e-15)
	}
	if p := at("0", "0", nil, nil); p.Verdict != Pass || p.Unstated != nil {
		t.Errorf("at zero: %+v", p)
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

// TestVerdicts: one reading with a usual scatter of 1 um from 21 readings; Student's t
// for 20 degrees of freedom is exceeded by 1.7247 in 5 % (table of the distribution).
func TestVerdicts(t *testing.T) {
	limit, usual := mm(t, "0.004"), &gauge.Pooled{Deviation: mm(t, "0.001"), Freedom: 20}
	for shown, want := range map[string]Verdict{"25.0022": Pass, "24.9978": Pass, "25.0023": Undecided, "24.9943": Undecided, "25.0058": Fail, "24.99": Fail} {
		r := Evaluate(Input{
			Points:  []Point{{Master: Master{ID: "zero"}, Readings: lengths(t, "0")}, {Master: Master{ID: "block", Value: mm(t, "25")}, Readings: lengths(t, shown)}},
			Ability: gauge.Ability{Error: &limit, Repeats: usual},
		})
		if r.Verdict != want || r.Worst.Master != "block" || r.Points[0].Verdict != Pass || r.Points[1].Verdict != want || r.Decides().Verdict != want {
			t.Errorf("%s: %s at %s, want %s: %+v", shown, r.Verdict, r.Worst.Master, want, r.Points)
		}
	}
	if r := Evaluate(Input{Points: []Point{{Readings: lengths(t, "1")}}}); r.Verdict != Unlimited || r.Points[0].Verdict != Unlimited || r.Points[0].Within != nil {
		t.Errorf("without a limit: %+v", r)
	}
	if r := Evaluate(Input{}); r.Verdict != Undecided {
		t.Errorf("without a reading: %s", r.Verdict)
	}
}

// TestUncertaintyOverTheLimit: an uncertainty that is larger than the limit makes it
// improbable that any error is within; only one that is beyond by more than it fails.
func TestUncertaintyOverTheLimit(t *testing.T) {
	limit := mm(t, "0.004")
	for _, c := range []struct {
		error, expanded string
		want            Verdict
	}{
		{"0.001", "2", Undecided},
		{"1.9", "2", Undecided},
		{"1.964", "2", Undecided}, // of 95 %: 1.96
		{"2.1", "2", Fail},
		{"-2.1", "2", Fail},
		{"0.007", "0.0041", Undecided},
		{"0.0085", "0.0041", Fail},
		{"0.0065", "0.002", Fail}, // not over the limit: by the probability
		{"0.001", "0.002", Pass},
	} {
		r := EvaluateStated([]Stated{{
			Master: "block", Error: mm(t, c.error),
			Uncertainty: gauge.Expanded{Uncertainty: mm(t, c.expanded), K: gauge.MustLength("2", gauge.One)},
		}}, gauge.Ability{Error: &limit})
		if r.Verdict != c.want || r.Points[0].Verdict != c.want {
			t.Errorf("error %s, U %s: %s, want %s (within %v)", c.error, c.expanded, r.Verdict, c.want, r.Points[0].Within)
		}
	}
}

// TestOnePointDoesNotHideAnother: at 3.0 um, known to 0.2 um, the gauge is good; at
// 2.9 um, known to 3.0 um, nobody knows. A point that is bad fails the check though
// the error of another is larger and undecided.
func TestOnePointDoesNotHideAnother(t *testing.T) {
	limit := mm(t, "0.004")
	at := func(id, expanded, shown string) Point {
		return Point{
			Master:   Master{ID: id, Value: mm(t, "25"), Certified: &gauge.Expanded{Uncertainty: mm(t, expanded), K: gauge.MustLength("2", gauge.One)}},
			Readings: lengths(t, shown, shown),
		}
	}
	ability := gauge.Ability{Error: &limit, Repeats: &gauge.Pooled{Deviation: mm(t, "0.00001"), Freedom: 50}}
	for _, c := range []struct {
		points  []Point
		want    Verdict
		decides string
	}{
		{[]Point{at("a", "0.0002", "25.003"), at("b", "0.003", "25.0029")}, Undecided, "b"},
		{[]Point{at("b", "0.003", "25.0029"), at("a", "0.0002", "25.003")}, Undecided, "b"},
		{[]Point{at("a", "0.0002", "25.003"), at("b", "0.0003", "25.0029")}, Pass, "a"},
		{[]Point{at("a", "0.0002", "25.0043"), at("b", "0.003", "24.995")}, Fail, "a"},
	} {
		if r := Evaluate(Input{Points: c.points, Ability: ability}); r.Verdict != c.want || r.Decides().Master != c.decides {
			t.Errorf("%s, by %s: want %s, by %s: %+v", r.Verdict, r.Decides().Master, c.want, c.decides, r.Points)
		}
	}
}

// TestFewRepeats: two readings 1 um apart have a mean that is known to 0.5 um with one
// degree of freedom: 12.706 times that in 95 % (table of Student's distribution).
func TestFewRepeats(t *testing.T) {
	limit := mm(t, "0.004")
	check := func(a gauge.Ability, shown ...string) PointResult {
		a.Error = &limit
		return Evaluate(Input{Points: []Point{{Master: Master{ID: "zero"}, Readings: lengths(t, shown...)}}, Ability: a}).Points[0]
	}
	p := check(gauge.Ability{}, "0.000", "0.001")
	near(t, "the expanded uncertainty", p.Expanded().Metres(), 12.706*0.5e-6, 1e-12)
	near(t, "the freedom", p.Freedom, 1, 0)
	near(t, "the probability", p.Within.Float(), 1-0.5+(math.Atan(7)+math.Atan(9))/math.Pi-0.5, 5e-5) // Cauchy, from 0.5 um to both limits
	if p.Verdict != Undecided || p.ScatterUnknown {
		t.Errorf("%+v", p)
	}
	step := mm(t, "0.001")
	for name, c := range map[string]struct {
		p    PointResult
		want Verdict
	}{
		"one reading":                       {check(gauge.Ability{}, "0.000"), Undecided},
		"one reading, far off":              {check(gauge.Ability{}, "0.010"), Fail},
		"one reading, the step known":       {check(gauge.Ability{Resolution: &step}, "0.000"), Undecided},
		"equal readings, the step not told": {check(gauge.Ability{}, "0.000", "0.000", "0.000"), Undecided},
	} {
		if c.p.Verdict != c.want || !c.p.ScatterUnknown || c.p.Within != nil {
			t.Errorf("%s: %+v", name, c.p)
		}
	}
	if p := check(gauge.Ability{Resolution: &step}, "0.000", "0.000", "0.000"); p.Verdict != Pass || p.ScatterUnknown {
		t.Errorf("equal readings of a display of known step: %+v", p)
	}
}

// TestStoredBefore: a check that was stored before each point had its own verdict keeps
// its verdict, and its expanded uncertainty of k = 2.
func TestStoredBefore(t *testing.T) {
	var r Result
	old := `{"points":[{"master":"a","mean":3000000,"reference":0,"error":3000000,"standard_uncertainty":1e-7,"spread":0,"repeats":1}],
		"error":3000000,"standard_uncertainty":1e-7,"worst":{"master":"a","mean":3000000,"reference":0,"error":3000000,"standard_uncertainty":1e-7,"spread":0,"repeats":1},
		"spread":0,"freedom":0,"limit":4000000,"verdict":"pass"}`
	if err := json.Unmarshal([]byte(old), &r); err != nil {
		t.Fatal(err)
	}
	if r.Verdict != Pass || r.Points[0].Verdict != "" || r.Worst.Expanded() != 200_000 || r.Decides().Master != "a" {
		t.Errorf("%+v", r)
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
