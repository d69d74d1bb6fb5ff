package station

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/job"
)

// ZeroRequest records what a gauge shows at its zero.
type ZeroRequest struct {
	Gauge   string
	Job     uint64       // after which it is made; 0: none
	Reading uint64       // in the history; 0: the present one
	Typed   TypedReading // of a gauge without a connection
	By      string
	Remark  string
}

// RecordZeroReturn stores what a gauge shows at its zero as a check at the master
// zero. It passes no check that is due; beyond the maximum permissible error it
// fails the gauge. A reading that was recorded already gives that record.
func (s *Station) RecordZeroReturn(ctx context.Context, r ZeroRequest) (*check.Record, error) {
	if strings.TrimSpace(r.By) == "" {
		return nil, gauge.WrongInput("refusal.check.who")
	}
	h, err := s.Health(r.Gauge)
	if err != nil {
		return nil, err
	}
	if h.ZeroWithin() == nil {
		return nil, gauge.Refused("refusal.zero.not-stated", gauge.Text("gauge", r.Gauge))
	}
	least, err := s.afterJob(ctx, r)
	if err != nil {
		return nil, err
	}
	reading, err := s.zeroReading(ctx, r)
	if err != nil {
		return nil, err
	}
	var c *check.Record
	err = s.do(ctx, func(d *draft) (err error) {
		f := reading
		switch {
		case f.Reading == nil:
			if f, err = d.fresh(r.Gauge); err != nil {
				return err
			}
		case f.Seq == 0:
			if err := d.withinZero(r.Gauge, f.Reading); err != nil {
				return err
			}
			f = d.reading(*f.Reading)
		}
		if f.Seq <= least {
			return gauge.Refused("refusal.zero.before-job", gauge.Count("reading", f.Seq), gauge.Count("job", r.Job))
		}
		c, err = d.recordZero(r.Gauge, r.Job, f, r.By, r.Remark)
		return err
	})
	if err != nil {
		return nil, err
	}
	return c, nil
}

// afterJob is the number of the history after which a zero return of the job comes.
func (s *Station) afterJob(ctx context.Context, r ZeroRequest) (uint64, error) {
	if r.Job == 0 {
		return 0, nil
	}
	j, err := s.Job(ctx, r.Job)
	if err != nil {
		return 0, err
	}
	seqs := j.ReadingsOf(r.Gauge)
	if len(seqs) == 0 {
		return 0, gauge.WrongInput("refusal.zero.not-of-job", gauge.Count("job", r.Job), gauge.Text("gauge", r.Gauge))
	}
	return slices.Max(seqs), nil
}

// zeroReading is the reading that is named or typed, or that a polled gauge gives
// when it is asked; without a Reading when the newest one is meant.
func (s *Station) zeroReading(ctx context.Context, r ZeroRequest) (f gauge.Fact, err error) {
	switch {
	case r.Typed.Shown != "":
		value, err := s.readByEye(r.Gauge, r.Typed)
		if err != nil {
			return f, err
		}
		return gauge.Fact{Reading: &gauge.Reading{
			Gauge: r.Gauge, Time: s.o.Now(), Value: value, Shown: r.Typed.Shown, Unit: r.Typed.Unit, Status: gauge.StatusOK, EnteredBy: r.By,
		}}, nil
	case r.Reading != 0:
		if f, err = s.readingOf(ctx, r.Reading, r.Gauge); err != nil {
			return f, err
		}
		return f, s.fitsZero(f)
	}
	_, err = s.askGauge(ctx, r.Gauge)
	return gauge.Fact{}, err
}

// zeroReturn records a reading of one of the job's own gauges that came after the
// verdict and is near enough to zero, and reports whether it was one.
func (d *draft) zeroReturn(j *job.Job, f gauge.Fact, by string) (bool, error) {
	id := f.Reading.Gauge
	h := d.healthOf(id)
	if h == nil || h.ZeroWithin() == nil || !j.Over() || !j.Uses(id) {
		return false, nil
	}
	if last := h.LastZero; last != nil && last.Holds(f.Seq) {
		return false, gauge.Refused("refusal.zero.recorded", gauge.Count("reading", f.Seq), gauge.Text("gauge", id))
	}
	c, err := d.recordZero(id, j.ID, f, cmp.Or(by, j.Technician), "")
	if err != nil {
		return false, gauge.Refused("refusal.zero.nothing-due", gauge.Count("job", j.ID), gauge.Because("why", err))
	}
	open, err := d.openJob(j.ID)
	if err != nil {
		return false, err
	}
	d.notice(open, gauge.Say("notice.zero-return", gauge.Text("gauge", id), gauge.Shown("reading", f.Reading.Shown, f.Reading.Unit), gauge.WordOf("verdict", "check", c.Result.Verdict)))
	return true, nil
}

// recordZero stores a reading at zero as a check, once.
func (d *draft) recordZero(gaugeID string, id uint64, f gauge.Fact, by, remark string) (*check.Record, error) {
	if last := d.healthOf(gaugeID).LastZero; last != nil && last.Holds(f.Seq) {
		return last, nil
	}
	if err := d.withinZero(gaugeID, f.Reading); err != nil {
		return nil, err
	}
	if err := d.healthOf(gaugeID).Unused(f.Seq); err != nil {
		return nil, err
	}
	g := d.gauge(gaugeID)
	zero, ok := d.s.masters[check.ZeroMaster]
	if !ok {
		zero = check.Master{ID: check.ZeroMaster}
	}
	data := health.CheckedData{
		Occasion: check.ZeroReturn, Remark: remark, Ability: g.Ability, Plate: g.Plate, Zero: true, Job: id, Number: g.lastNumber,
		Found: []check.StoredPoint{{Point: check.Point{Master: zero, Readings: []gauge.Length{f.Reading.Value}}, Seqs: []uint64{f.Seq}}},
	}
	var err error
	if data.Result, err = compared(data, gaugeID, data.Found); err != nil {
		return nil, err
	}
	stored, err := d.gaugeFact(gaugeID, health.KindChecked, by, data)
	if err != nil {
		return nil, err
	}
	return data.Record(stored), nil
}

// fitsZero refuses a reading that is too old to say what the gauge shows now.
func (s *Station) fitsZero(f gauge.Fact) error {
	if why := future(f.Reading, s.o.Now()); !why.IsZero() {
		return gauge.Refused("refusal.zero.not-of-now", gauge.Count("reading", f.Seq), gauge.Nested("why", why))
	}
	if age := s.o.Now().Sub(f.Reading.Time); age > health.LongestCheck {
		return gauge.Refused("refusal.zero.old", gauge.Count("reading", f.Seq), gauge.Moment("made", f.Reading.Time))
	}
	return nil
}

// withinZero says why a reading is no zero return.
func (d *draft) withinZero(gaugeID string, r *gauge.Reading) error {
	within := d.healthOf(gaugeID).ZeroWithin()
	of, shown := gauge.Text("gauge", gaugeID), gauge.Shown("reading", r.Shown, r.Unit)
	switch {
	case within == nil:
		return gauge.Refused("refusal.zero.not-stated", of)
	case r.Unit.Kind() != gauge.KindLength:
		return gauge.Refused("refusal.zero.no-length", shown, of)
	case r.Value.Abs() > *within:
		return gauge.Refused("refusal.zero.too-far", shown, of, gauge.Shown("within", within.Text(gauge.Micrometre, 1), gauge.Micrometre))
	}
	return nil
}
