package station

import (
	"context"
	"fmt"
	"slices"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
)

// CourseStep is one step of a job as it was stored, for a sheet that tells how
// the job went.
type CourseStep struct {
	Time    time.Time
	By      string
	Kind    string // started, taken, discarded, chosen, unsettled, fitted, verdict, verified, round, closed and others to come
	Place   string
	Part    string
	Reason  string
	Outcome evaluate.Outcome // of a verdict, or of the round that is over
	Round   int              // that begins
	Reading *CourseReading   // of a step that took one
}

// CourseReading is a reading that was taken into a job, with what became of it.
type CourseReading struct {
	Measurement string
	Gauge       string
	Shown       string
	Unit        gauge.Unit
	From        string    // shown at the other end, where the value is a way between two
	Time        time.Time // when it arrived
	EnteredBy   string
	Discarded   string // why it does not count; empty: it does
	Replaced    bool   // it was measured after an earlier fitting, or in an earlier round, and counts for that alone
	Round       int    // in which it was taken, from 1
	seq         uint64
}

// Course returns every step of a job in order.
func (s *Station) Course(ctx context.Context, job uint64) ([]CourseStep, error) {
	facts, err := s.JobFacts(ctx, job)
	if err != nil {
		return nil, err
	}
	j, err := s.Job(ctx, job)
	if err != nil {
		return nil, err
	}
	var steps []CourseStep
	for _, f := range facts {
		step := CourseStep{Time: f.Job.Time, By: f.Job.By, Kind: f.Job.Kind}
		if err := s.tell(ctx, &step, f.Job, steps, j); err != nil {
			return nil, fmt.Errorf("job %d: %w", job, err)
		}
		steps = append(steps, step)
	}
	return steps, nil
}

// tell fills in what a fact says; before are the steps before it.
func (s *Station) tell(ctx context.Context, step *CourseStep, f *gauge.JobFact, before []CourseStep, j *Job) error {
	switch f.Kind {
	case kindTaken:
		data, err := unmarshal[takenData](f)
		if err != nil {
			return err
		}
		if step.Reading, err = s.courseReading(ctx, data); err == nil {
			step.Reading.Round = 1 + len(slices.DeleteFunc(slices.Clone(before), func(b CourseStep) bool { return b.Kind != kindRound }))
		}
		return err
	case kindDiscarded:
		data, err := unmarshal[discardedData](f)
		if err != nil {
			return err
		}
		step.Reason = data.Reason
		for _, b := range before {
			if b.Reading != nil && b.Reading.seq == data.Reading {
				b.Reading.Discarded = data.Reason
			}
		}
	case kindChosen:
		data, err := unmarshal[chosenData](f)
		step.Place, step.Part, step.Reason = data.Place, data.Part, data.Reason
		if data.Part == "" {
			step.Kind = "unsettled"
		}
		return err
	case kindFitted:
		data, err := unmarshal[fittedData](f)
		step.Place, step.Part = data.Place, data.Part
		for _, b := range before {
			if b.Reading == nil {
				continue
			}
			if _, after, _ := j.Procedure.Step(b.Reading.Measurement); after && !j.hasNow(b.Reading.seq) {
				b.Reading.Replaced = true
			}
		}
		return err
	case kindRound:
		data, err := unmarshal[roundData](f)
		step.Round, step.Outcome = data.Round+1, data.Outcome
		for _, b := range before {
			if b.Reading != nil && slices.Contains(j.past, b.Reading.seq) {
				b.Reading.Replaced = true
			}
		}
		return err
	case kindVerdict:
		data, err := unmarshal[verdictData](f)
		step.Outcome = data.Outcome
		return err
	case kindClosed:
		data, err := unmarshal[closedData](f)
		step.Reason = data.Reason
		return err
	}
	return nil
}

func (s *Station) courseReading(ctx context.Context, data takenData) (*CourseReading, error) {
	t, err := s.loadTaken(ctx, data)
	if err != nil {
		return nil, err
	}
	r := &CourseReading{
		Measurement: data.Measurement, Gauge: t.reading.Gauge, Shown: t.reading.Shown, Unit: t.reading.Unit,
		Time: t.reading.Time, EnteredBy: t.reading.EnteredBy, seq: data.Reading,
	}
	if t.from != nil {
		r.From = t.from.Shown
	}
	return r, nil
}
