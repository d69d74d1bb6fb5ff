package compute

import (
	"slices"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Job is what is known in a job: the procedure, what was put in, and the values
// that came of it so far.
type Job struct {
	P    *procedure.Procedure
	In   Input
	V    formula.Values                     // what formulas compute with; marks are what each step with codes has read
	Open map[formula.Taken]formula.Interval // what is known as an interval

	// Fitted are the parts that a name in a formula stands for; none for any other
	// name. It may be nil where no part is known.
	Fitted func(name string) []Part
}

// New is a job in which no value is known yet.
func New(p *procedure.Procedure, in Input) *Job {
	return &Job{P: p, In: in, V: formula.NewValues(), Open: map[formula.Taken]formula.Interval{}}
}

// Parts are the parts that a name in a formula stands for.
func (j *Job) Parts(name string) []Part {
	if j.Fitted == nil {
		return nil
	}
	return j.Fitted(name)
}

// Input is what has been found out so far.
type Input struct {
	Readings []procedure.Reading      // of all measurements, in the order in which they were taken
	Fitted   []procedure.Fitted       // what was fitted, at most one for each place; Thickness is set only when it was measured
	Gauges   map[string]gauge.Ability // what is known of the gauge of each measurement
	Bound    map[string]string        // the gauge of each measurement, where the station knows it
	Earlier  bool                     // of a job that is evaluated as before what is predicted was of the fitted part
	AnyZero  bool                     // of a job that is evaluated as before a play of several gauges was asked back
	OneTyped bool                     // of a job that is evaluated as when all that was typed in without a gauge had one error
	TakenOff []TakenOff               // errors that were taken off the readings, each independent of the others
}

// TakenOff is how well an error is known that was taken off readings.
type TakenOff struct {
	Name string        // in a budget: what it is of, a colon, and its kind
	Says gauge.Message // how it is called; zero: Name says all
	// Of is the standard uncertainty of what was taken off the readings of each
	// measurement, with its sign. It is of one error, which all of them share.
	Of map[string]gauge.Length
	// Unknown says that it may have either sign at each reading, evenly within limits: it
	// adds up where readings are added, and does not cancel where they are taken away.
	Unknown bool
}

// Before is the input as it stands before a part is fitted at a place.
func (in Input) Before(p *procedure.Procedure, place string) Input {
	in.Fitted = slices.DeleteFunc(slices.Clone(in.Fitted), func(f procedure.Fitted) bool { return f.Place == place })
	in.Readings = slices.DeleteFunc(slices.Clone(in.Readings), func(r procedure.Reading) bool {
		_, after, _ := p.Step(r.Measurement)
		return after
	})
	return in
}
