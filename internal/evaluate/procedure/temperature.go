package procedure

import (
	"fmt"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// TemperatureReading is what the readings of a measurement in degC or K are. The
// same digits mean another thing: 20 degC is a temperature of 293.15 K, and a
// difference of 20 K.
type TemperatureReading string

// What a procedure may say of them.
const (
	ReadsTemperature TemperatureReading = "temperature"
	ReadsDifference  TemperatureReading = "difference"
)

// zeroCelsius is 0 degC in K, exactly (the SI Brochure, 9th edition, 2.3.1).
var zeroCelsius = gauge.MustLength("273.15", gauge.Kelvin)

// reads reads what the readings of a measurement of temperature are. In formulas
// temperatures count in degC, so one that is read must have that unit.
func (r *procedureReader) reads(v shopfile.Value, s *Step) {
	if !v.Given() {
		return
	}
	if s.Unit.Kind() != gauge.KindTemperature {
		v.Wrong(gauge.Say("entry.temperature-kind"))
		return
	}
	s.Reads = TemperatureReading(v.OneOf(string(ReadsTemperature), string(ReadsDifference)))
	if s.Reads == ReadsTemperature && s.Unit == gauge.Kelvin {
		v.Wrong(gauge.Say("entry.temperature-unit"))
	}
}

// readsTemperature holds the measurement that says how warm the work is to what it
// is: a temperature, in degC.
func (r *procedureReader) readsTemperature(is shopfile.Value) {
	for i := range r.p.Measure {
		s := &r.p.Measure[i]
		switch {
		case s.Name != is.Text():
		case s.Unit == gauge.Kelvin:
			is.Wrong(gauge.Say("entry.temperature-kelvin", gauge.Text("step", s.Name)))
		case s.Reads == ReadsDifference:
			is.Wrong(gauge.Say("entry.temperature-difference", gauge.Text("step", s.Name)))
		default:
			s.Reads = ReadsTemperature
		}
	}
}

// Taken is a reading in the unit of the step. A temperature in K has another zero
// than one in degC; a difference of 1 K is one of 1 degC.
func (s Step) Taken(r Reading) Reading {
	if s.Reads != ReadsTemperature || r.Unit != gauge.Kelvin {
		return r.In(s.Unit)
	}
	r.Value -= zeroCelsius
	if r.Upper != nil {
		upper := *r.Upper - zeroCelsius
		r.Upper = &upper
	}
	return r
}

// unsaid is why a temperature is not converted: nothing says what it is.
func (e *UnitError) unsaid() string {
	return fmt.Sprintf("%s %s was not taken: procedure %s does not say whether %s is a temperature or a difference of temperatures, which convert differently; read it in %s, or let the procedure say reads: %s or reads: %s",
		e.Shown, e.Unit, e.Procedure, e.Measurement, e.Wanted, ReadsTemperature, ReadsDifference)
}
