package page

import (
	"fmt"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/order"
	"gauged/internal/health/study"
)

// studyDraft is a study that is being measured: its readings are stored already,
// and which of them it takes is kept here until it is recorded. A restart of the
// daemon loses that, not the readings.
type studyDraft struct {
	Gauge     string
	By        string
	Kind      study.Kind
	Tolerance string // its width in the unit of the gauge, decimal text; empty: none
	Steps     []studyStep
	Dropped   int    // readings that were taken out again
	Refused   string // why no study came of the readings; empty: nobody tried
	after     uint64 // number of the last reading that was looked at
}

// studyStep is a reading that is wanted.
type studyStep struct {
	order.Step
	Reading *gauge.Reading // nil: not taken yet
	seq     uint64         // of the reading in the history
}

// Count is how many readings were taken.
func (d *studyDraft) Count() int {
	n := slices.IndexFunc(d.Steps, func(s studyStep) bool { return s.Reading == nil })
	if n < 0 {
		return len(d.Steps)
	}
	return n
}

// Done reports whether every step has its reading.
func (d *studyDraft) Done() bool { return d.Count() == len(d.Steps) }

// Now is the step that takes the next reading; nil when all have theirs.
func (d *studyDraft) Now() *studyStep {
	if d.Done() {
		return nil
	}
	return &d.Steps[d.Count()]
}

// Number is that of the next reading.
func (d *studyDraft) Number() int { return d.Count() + 1 }

// Hands reports whether another person than before measures now.
func (d *studyDraft) Hands() bool {
	n := d.Count()
	return n < len(d.Steps) && d.Steps[n].Person != "" && (n == 0 || d.Steps[n-1].Person != d.Steps[n].Person)
}

// Taken are the steps with a reading, the last one first.
func (d *studyDraft) Taken() []studyStep {
	taken := slices.Clone(d.Steps[:d.Count()])
	slices.Reverse(taken)
	return taken
}

// Trials is how many trials there are.
func (d *studyDraft) Trials() string { return d.Steps[len(d.Steps)-1].Trial }

// copy is what nobody else changes.
func (d *studyDraft) copy() *studyDraft {
	c := *d
	c.Steps = slices.Clone(d.Steps)
	return &c
}

// take gives a reading to the step that wants one.
func (d *studyDraft) take(f gauge.Fact) error {
	next := d.Now()
	switch {
	case next == nil:
		return fmt.Errorf("%w: the study has all its readings; record it, or drop the last one", gauge.ErrRefused)
	case f.Seq <= d.after:
		return fmt.Errorf("%w: gauge %s has sent no new reading since the last one was taken", gauge.ErrRefused, d.Gauge)
	}
	d.after = f.Seq
	if first := d.Steps[0].Reading; first != nil && first.Unit != f.Reading.Unit {
		return fmt.Errorf("%w: the reading is in %v, the study in %v: one study has one unit; it is not taken", gauge.ErrRefused, f.Reading.Unit, first.Unit)
	}
	next.Reading, next.seq, d.Refused = f.Reading, f.Seq, ""
	return nil
}

// drop takes the last reading out again.
func (d *studyDraft) drop() error {
	n := d.Count()
	if n == 0 {
		return fmt.Errorf("%w: no reading has been taken yet", gauge.ErrRefused)
	}
	d.Steps[n-1].Reading, d.Steps[n-1].seq, d.Refused = nil, 0, ""
	d.Dropped++
	return nil
}

// request is what the station makes the study of.
func (d *studyDraft) request(remark string) (r health.StudyRequest, err error) {
	if r.Plan, err = studyPlan(d.Kind, d.Tolerance); err != nil {
		return r, err
	}
	r.Gauge, r.By, r.Remark = d.Gauge, d.By, remark
	for _, s := range d.Steps {
		r.Rows = append(r.Rows, health.StudyRow{Seq: s.seq, Part: s.Part, Person: s.Person, Trial: s.Trial, Master: s.Master, Reference: s.Reference})
	}
	return r, nil
}

// studyPlan is a study with the settings that are asked for here.
func studyPlan(kind study.Kind, tolerance string) (p study.Plan, err error) {
	p = study.Plan{Kind: kind, Options: study.Options{Seed: 1}}
	if tolerance == "" {
		if kind == study.CapabilityKind {
			return p, fmt.Errorf("%w: the indices compare the gauge with a tolerance: give its width", gauge.ErrInput)
		}
		return p, nil
	}
	width, err := study.ParseNumber(tolerance)
	if err == nil && width.Sign() <= 0 {
		err = fmt.Errorf("%s is not a width: give the distance of the limits, above 0", tolerance)
	}
	if err != nil {
		return p, fmt.Errorf("%w: tolerance: %w", gauge.ErrInput, err)
	}
	p.Options.Tolerance = study.Float(width)
	return p, nil
}
