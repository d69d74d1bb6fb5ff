package job

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
	Kind    string // started, taken, discarded, chosen, unsettled, fitted, verdict, withdrawn, verified, round, closed and others to come
	Place   string
	Part    string
	Reason  string
	Outcome evaluate.Outcome  // of a verdict, or of the round that is over
	Round   int               // that begins
	For     string            // who is to take up a job that is set aside; empty: anybody
	Serial  string            // that was said wrongly before
	Before  string            // what was said
	Labels  *LabelledData     // of labels that were put right
	Gauges  map[string]string // of measurements that have others from here on; empty: typed in
	Had     map[string]string // the gauges of before, where a job on the bench got others
	Reading *CourseReading    // of a step that took one
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

// Course is every step of a job, of its facts in order.
func (j *Job) Course(ctx context.Context, store Store, facts []gauge.Fact) ([]CourseStep, error) {
	var steps []CourseStep
	for _, f := range facts {
		step := CourseStep{Time: f.Job.Time, By: f.Job.By, Kind: f.Job.Kind}
		if err := step.tell(ctx, store, f.Job, steps, j); err != nil {
			return nil, fmt.Errorf("job %d: %w", j.ID, err)
		}
		steps = append(steps, step)
	}
	return steps, nil
}

// tell fills in what a fact says; before are the steps before it.
func (step *CourseStep) tell(ctx context.Context, store Store, f *gauge.JobFact, before []CourseStep, j *Job) error {
	switch f.Kind {
	case KindTaken:
		data, err := Unmarshal[TakenData](f)
		if err != nil {
			return err
		}
		if step.Reading, err = courseReading(ctx, store, data); err == nil {
			step.Reading.Round = 1 + len(slices.DeleteFunc(slices.Clone(before), func(b CourseStep) bool { return b.Kind != KindRound }))
		}
		return err
	case KindDiscarded:
		data, err := Unmarshal[DiscardedData](f)
		if err != nil {
			return err
		}
		step.Reason = data.Reason
		for _, b := range before {
			if b.Reading != nil && b.Reading.seq == data.Reading {
				b.Reading.Discarded = data.Reason
			}
		}
	case KindChosen:
		data, err := Unmarshal[ChosenData](f)
		step.Place, step.Part, step.Reason = data.Place, data.Part, data.Reason
		if data.Part == "" {
			step.Kind = "unsettled"
		}
		return err
	case KindFitted:
		data, err := Unmarshal[FittedData](f)
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
	case KindRound:
		data, err := Unmarshal[RoundData](f)
		step.Round, step.Outcome = data.Round+1, data.Outcome
		for _, b := range before {
			if b.Reading != nil && slices.Contains(j.past, b.Reading.seq) {
				b.Reading.Replaced = true
			}
		}
		return err
	case KindVerdict:
		data, err := Unmarshal[VerdictData](f)
		if step.Outcome = data.Outcome; data.Outcome == evaluate.Measuring {
			step.Kind, step.Outcome = "withdrawn", ""
		}
		return err
	case KindAside:
		data, err := Unmarshal[AsideData](f)
		step.Reason, step.For = data.Reason, data.For
		return err
	case KindSerial:
		data, err := Unmarshal[SerialData](f)
		step.Reason, step.Serial, step.Before = data.Reason, data.Serial, data.Before
		return err
	case KindLabelled:
		data, err := Unmarshal[LabelledData](f)
		step.Reason, step.Labels = data.Reason, &data
		return err
	case KindResumed:
		data, err := Unmarshal[ResumedData](f)
		step.Gauges = data.Gauges
		return err
	case KindGauges:
		data, err := Unmarshal[GaugesData](f)
		step.Gauges, step.Had, step.Reason = data.Gauges, data.Before, data.Reason
		if step.Had == nil {
			step.Had = map[string]string{}
		}
		return err
	case KindClosed:
		data, err := Unmarshal[ClosedData](f)
		step.Reason = data.Reason
		return err
	}
	return nil
}

func courseReading(ctx context.Context, store Store, data TakenData) (*CourseReading, error) {
	t, err := LoadTaken(ctx, store, data)
	if err != nil {
		return nil, err
	}
	r := &CourseReading{
		Measurement: data.Measurement, Gauge: t.Reading.Gauge, Shown: t.Reading.Shown, Unit: t.Reading.Unit,
		Time: t.Reading.Time, EnteredBy: t.Reading.EnteredBy, seq: data.Reading,
	}
	if t.From != nil {
		r.From = t.From.Shown
	}
	return r, nil
}
