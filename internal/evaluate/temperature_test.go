package evaluate

import (
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// The defining fixed points of the International Temperature Scale of 1990, of
// which its table 1 prints both columns (H. Preston-Thomas, Metrologia 27, 1990; from
// memory), and the triple point of water.
var fixedPoints1990 = []struct{ kelvin, celsius string }{
	{"13.8033", "-259.3467"}, // equilibrium hydrogen
	{"54.3584", "-218.7916"}, // oxygen
	{"83.8058", "-189.3442"}, // argon
	{"234.3156", "-38.8344"}, // mercury
	{"273.16", "0.01"},       // water
	{"302.9146", "29.7646"},  // gallium
	{"429.7485", "156.5985"}, // indium
	{"505.078", "231.928"},   // tin
	{"692.677", "419.527"},   // zinc
	{"933.473", "660.323"},   // aluminium
}

const warm = `procedure: p
title: t
unit: mm
other_units: convert
measure:
  bench: {title: bench, unit: degC, reads: temperature}
  rise: {title: by how much it got warmer, unit: degC, reads: difference}
  drop: {title: by how much it got colder, unit: K, reads: difference}
values: {b: {value: bench, unit: degC}, r: {value: rise, unit: degC}, d: {value: drop, unit: K}}
`

// TestTemperatureInKelvin: a temperature is taken by its own zero, a difference as it
// is, exactly.
func TestTemperatureInKelvin(t *testing.T) {
	p, err := readProcedure("p.yaml", []byte(warm))
	if err != nil {
		t.Fatal(err)
	}
	value := func(name, shown string, u gauge.Unit) gauge.Length {
		t.Helper()
		r, err := p.Typed(name, shown, u)
		if err != nil {
			t.Fatal(err)
		}
		e, err := Evaluate(p, nil, compute.Input{Readings: []procedure.Reading{r}})
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range e.Measurements {
			if m.Name == name && m.Value != nil {
				return *m.Value
			}
		}
		t.Fatalf("%s has no value", name)
		return 0
	}
	for _, point := range fixedPoints1990 {
		if got, want := value("bench", point.kelvin, gauge.Kelvin), gauge.MustLength(point.celsius, gauge.DegreeCelsius); got != want {
			t.Errorf("%s K is %s degC, published %s", point.kelvin, got.Text(gauge.DegreeCelsius, 4), point.celsius)
		}
		if got, want := value("rise", point.kelvin, gauge.Kelvin), gauge.MustLength(point.kelvin, gauge.DegreeCelsius); got != want {
			t.Errorf("a difference of %s K is %d, want %d", point.kelvin, got, want)
		}
	}
	if got, want := value("drop", "5", gauge.DegreeCelsius), gauge.MustLength("5", gauge.Kelvin); got != want {
		t.Errorf("a difference of 5 degC is %d, want %d", got, want)
	}
}

// TestTemperatureProblems: what is a temperature and what a difference is never guessed.
func TestTemperatureProblems(t *testing.T) {
	const begin = "procedure: p\ntitle: t\nunit: mm\nother_units: convert\nmeasure: {gap: {title: g}, "
	const end = "}\ngap: gap\nallow: {result: {max: 1}}\n"
	for text, want := range map[string]string{
		begin + "t: {title: t, unit: K, reads: temperature}" + end:                              "p.yaml:5:58: a temperature has the unit degC here: write unit: degC; a thermometer that shows K is read with other_units: convert",
		begin + "t: {title: t, unit: N, reads: difference}" + end:                               "p.yaml:5:58: only a measurement in degC or K reads a temperature, or a difference of temperatures",
		begin + "t: {title: t, unit: degC, reads: difference}" + end + "temperature: {is: t}\n": "p.yaml:8:19: t reads a difference of temperatures, and a temperature is needed",
		begin + "t: {title: t, unit: K}" + end + "temperature: {is: t}\n":                       "p.yaml:8:19: t is in K: the temperature of the work is measured in degC",
	} {
		if _, err := readProcedure("p.yaml", []byte(text)); err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
	}
	p, err := readProcedure("p.yaml", []byte(begin+"t: {title: t, unit: degC}"+end+"temperature: {is: t}\n"))
	if err != nil {
		t.Fatal(err)
	}
	if err := p.AcceptUnit("t", "293.15", gauge.Kelvin); err != nil {
		t.Errorf("what says how warm the work is is a temperature: %v", err)
	}
}
