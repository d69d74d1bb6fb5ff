package page

import (
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
	Once      string // id under which it is recorded
	Gauge     string
	By        string
	Kind      study.Kind
	Tolerance string // its width in the unit of the gauge, decimal text; empty: none
	Steps     []studyStep
	Dropped   int           // readings that were taken out again
	Refused   gauge.Message // why no study came of the readings; none: nobody tried
	after     uint64        // number of the last reading that was looked at
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
		return gauge.Refused("refusal.page.study-full")
	case f.Seq <= d.after:
		return gauge.Refused("refusal.page.nothing-new", gauge.Text("gauge", d.Gauge))
	}
	d.after = f.Seq
	if first := d.Steps[0].Reading; first != nil && first.Unit != f.Reading.Unit {
		return gauge.Refused("refusal.page.one-unit", gauge.Text("given", f.Reading.Unit.String()), gauge.Text("unit", first.Unit.String()))
	}
	next.Reading, next.seq, d.Refused = f.Reading, f.Seq, gauge.Message{}
	return nil
}

// drop takes the last reading out again.
func (d *studyDraft) drop() error {
	n := d.Count()
	if n == 0 {
		return gauge.Refused("refusal.page.none-taken")
	}
	d.Steps[n-1].Reading, d.Steps[n-1].seq, d.Refused = nil, 0, gauge.Message{}
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
			return p, gauge.WrongInput("refusal.page.needs-tolerance")
		}
		return p, nil
	}
	width, err := study.ParseNumber(tolerance)
	if err == nil && width.Sign() <= 0 {
		err = gauge.WrongInput("refusal.study.not-above-zero", gauge.Text("number", tolerance))
	}
	if err != nil {
		return p, gauge.WrongInput("refusal.study.tolerance", gauge.Because("why", err))
	}
	p.Options.Tolerance = study.Float(width)
	return p, nil
}
