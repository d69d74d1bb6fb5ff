package procedure

import (
	"fmt"
	"slices"
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
)

// UnitError says that a reading came in a unit that the procedure refuses.
type UnitError struct {
	Shown       string
	Unit        gauge.Unit
	Procedure   string
	Measurement string
	Wanted      gauge.Unit
	Unsaid      bool // the procedure converts, and does not say what the temperature is
}

// Error says the reading, the unit that it should have, and what to do.
func (e *UnitError) Error() string {
	if e.Unit.Kind() != e.Wanted.Kind() {
		return fmt.Sprintf("%s was not taken: %s is %s in %v", e.Unit.Quantity(e.Shown), e.Measurement, e.Wanted.Kind().A(), e.Wanted)
	}
	if e.Unsaid {
		return e.unsaid()
	}
	return fmt.Sprintf("%s %s was not taken: procedure %s measures in %s only; switch the gauge to %s and read again, or use a gauge that shows %s",
		e.Shown, e.Unit, e.Procedure, e.Wanted.Many(), e.Wanted.Many(), e.Wanted.Many())
}

// Tell says the same as a message.
func (e *UnitError) Tell() gauge.Message {
	shown, wanted := gauge.Text("shown", e.Unit.Quantity(e.Shown)), gauge.Text("wanted", e.Wanted.String())
	p, of := gauge.Text("procedure", e.Procedure), gauge.Text("measurement", e.Measurement)
	if e.Unit.Kind() != e.Wanted.Kind() {
		return gauge.Say("refusal.reading.other-kind", shown, of, gauge.Word("kind", e.Wanted.Kind().Word()), wanted)
	}
	if e.Unsaid {
		return gauge.Say("refusal.reading.temperature-or-difference", shown, p, of, wanted)
	}
	return gauge.Say("refusal.reading.other-unit", shown, p, gauge.WordOf("wanted", "unitname", strings.ToLower(e.Wanted.Many())))
}

// AcceptUnit refuses a reading whose unit is not the measurement's, unless the
// procedure converts. Converting a length is exact, so an accepted value needs
// no change. Temperatures are converted where it is said what they are.
func (p *Procedure) AcceptUnit(measurement, shown string, u gauge.Unit) error {
	wanted, unsaid := p.Unit, false
	if s, _, ok := p.Step(measurement); ok {
		wanted, unsaid = s.Unit, s.Unit.Kind() == gauge.KindTemperature && s.Reads == ""
	}
	converts := p.ConvertUnits && u.Kind() == wanted.Kind()
	if u == wanted || converts && !unsaid {
		return nil
	}
	return &UnitError{shown, u, p.ID, measurement, wanted, converts}
}

// noMeasurement is that the procedure has no measurement of a name; in a file with the
// nearest name.
func (p *Procedure) noMeasurement(name string) error {
	var names []string
	for _, s := range slices.Concat(p.Measure, p.Verify) {
		names = append(names, s.Name)
	}
	text := fmt.Sprintf("procedure %s has no measurement %q", p.ID, name)
	if near := gauge.Nearest(name, names); near != "" {
		text += fmt.Sprintf(": did you mean %s?", near)
	}
	return gauge.Worded(text, gauge.Say("refusal.job.no-measurement", gauge.Text("procedure", p.ID), gauge.Text("measurement", name)))
}

// Unreadable is what is typed for a mark that cannot be read.
const Unreadable = "unreadable"

// Typed reads what a person typed for a measurement: digits with a decimal
// point; an interval such as 0.20..0.25; a mark, whose unit is 1 or none; or
// "unreadable" where the procedure says what stands for it.
func (p *Procedure) Typed(measurement, shown string, u gauge.Unit) (Reading, error) {
	s, _, ok := p.Step(measurement)
	if !ok {
		return Reading{}, p.noMeasurement(measurement)
	}
	r := Reading{Measurement: measurement, Shown: shown, Unit: u}
	switch {
	case len(s.Codes) > 0 && u.Known() && u != gauge.One:
		return Reading{}, gauge.Worded(fmt.Sprintf("%s is read as a mark, and a mark has no unit: leave %s out, and read one of %s", measurement, u, strings.Join(s.marks(), ", ")), gauge.Say("refusal.reading.mark-has-no-unit", gauge.Text("measurement", measurement), gauge.Text("unit", u.String()), gauge.Texts("marks", s.marks())))
	case len(s.Codes) > 0:
		return s.readMark(r)
	case shown == Unreadable && s.Unreadable != nil:
		r.Value, r.Unit = *s.Unreadable, s.Unit
		return r, nil
	}
	switch {
	case u.Known():
		if err := p.AcceptUnit(measurement, shown, u); err != nil {
			return Reading{}, err
		}
	case s.Unit == gauge.One: // a plain number
		u, r.Unit = s.Unit, s.Unit
	default:
		return Reading{}, fmt.Errorf("%s: %w", measurement, gauge.MissingUnit(shown, s.Unit))
	}
	low, high, interval := strings.Cut(shown, formula.IntervalSign)
	value, err := gauge.ParseLength(low, u)
	if err != nil || !interval {
		r.Value = value
		return r, err
	}
	upper, err := gauge.ParseLength(high, u)
	switch {
	case err != nil:
		return Reading{}, err
	case u != gauge.Micrometre && (!strings.Contains(low, ".") || !strings.Contains(high, ".")):
		return Reading{}, gauge.Worded(fmt.Sprintf("%q may be a slip of the pen: write both ends of an interval with their decimals, such as 0.20..0.25", shown), gauge.Say("refusal.reading.interval-decimals", gauge.Typed("shown", shown)))
	case upper <= value:
		return Reading{}, gauge.Worded(fmt.Sprintf("%q is no interval: the second number is the larger one", shown), gauge.Say("refusal.reading.no-interval", gauge.Typed("shown", shown)))
	}
	r.Value, r.Upper = value, &upper
	return r, nil
}

// readMark takes a mark out of those that the step may read.
func (s Step) readMark(r Reading) (Reading, error) {
	for _, c := range s.Codes {
		if c.Mark != r.Shown {
			continue
		}
		r.Unit = s.Unit
		if c.Value != nil {
			r.Value = *c.Value
		}
		return r, nil
	}
	return Reading{}, gauge.Worded(fmt.Sprintf("%q cannot be read for %s: it is one of %s", r.Shown, s.Name, strings.Join(s.marks(), ", ")), gauge.Say("refusal.reading.no-such-mark", gauge.Text("shown", r.Shown), gauge.Text("measurement", s.Name), gauge.Texts("marks", s.marks())))
}

// marks lists what a step with codes may read.
func (s Step) marks() []string {
	marks := make([]string, len(s.Codes))
	for i, c := range s.Codes {
		marks[i] = c.Mark
	}
	return marks
}

// Stored returns a stored reading as one of a measurement.
func (p *Procedure) Stored(measurement string, seq uint64, g *gauge.Reading) Reading {
	if g.EnteredBy != "" {
		u := g.Unit
		if s, _, ok := p.Step(measurement); ok && len(s.Codes) > 0 {
			u = gauge.UnitUnknown // it was stored in the unit of what the mark stands for
		}
		if r, err := p.Typed(measurement, g.Shown, u); err == nil {
			r.Seq, r.Gauge = seq, g.Gauge
			return r
		}
	}
	return Reading{Seq: seq, Gauge: g.Gauge, Measurement: measurement, Value: g.Value, Shown: g.Shown, Unit: g.Unit}
}
