package job

import (
	"slices"

	"gauged/internal/gauge"
)

// turns counts what was done on a job one after the other: readings of one measurement
// are one turn, also where some were discarded and taken again.
type turns struct {
	done   int
	of     string // the measurement that the last one read; empty: it read nothing
	motion bool   // its last reading was of a motion, which began with one act and could be stopped with another
}

// after is the count after a reading of a measurement; without one, after another act.
func (t turns) after(measurement string) turns {
	if measurement != "" && measurement == t.of {
		return t
	}
	next := turns{done: t.done + 1, of: measurement}
	if t.motion {
		next.done++
	}
	return next
}

// TakeReading takes a reading into its measurement; who calls it has a job of its own.
func (j *Job) TakeReading(data TakenData, t Taken) {
	j.took(data.Measurement, t.Reading)
	r := j.Procedure.Stored(data.Measurement, data.Reading, t.Reading)
	if t.From != nil {
		r = way(r, data.From, t.From)
	}
	j.Taken, j.newest = append(slices.Clip(j.Taken), r), newest{t.Reading.Gauge, data.Measurement, t.Reading.Time}
}

// took counts a reading that was taken.
func (j *Job) took(measurement string, r *gauge.Reading) {
	step, _, _ := j.Procedure.Step(measurement)
	j.turns = j.turns.after(measurement)
	j.turns.motion = step.Moving != nil && r.EnteredBy == ""
}

// turn counts an act that reads nothing, where a fact of that kind is one.
func (j *Job) turn(kind string) {
	switch kind {
	case KindAcknowledged, KindFitted, KindRound, KindClosed:
		j.turns = j.turns.after("")
	}
}

// Turn numbers the act that comes next, from 1 on: a reading of a measurement, or without
// one another act. Two acts that differ and follow each other differ by one, readings of
// one measurement share their number. A motion is two: what stops it has the number after
// the one that begins it.
func (j *Job) Turn(measurement string) int { return j.turns.after(measurement).done }
