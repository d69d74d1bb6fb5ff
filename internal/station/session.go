package station

import (
	"cmp"
	"context"
	"errors"
	"maps"
	"slices"
	"strings"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/job"
)

// AnyMeasurement stands in the gauges of a start for every measurement that is
// not named.
const AnyMeasurement = "*"

// StartRequest opens a job.
type StartRequest struct {
	Procedure  string
	UnitSerial string
	Technician string
	Gauges     map[string]string // gauge by measurement
	Confirmed  bool              // the serial number is meant, although it looks like that of another unit
	Labels     job.Labels        // such as the order that it belongs to
	Read       string            // hash of the procedure whose cautions the technician has read; empty: of none
}

// Bind gives each measurement of a procedure its gauge, as a start does, with what is known of it now.
func (s *Station) Bind(ctx context.Context, p *procedure.Procedure, gauges map[string]string) (bound map[string]string, known map[string]gauge.Ability, err error) {
	if bound, err = s.bind(p, gauges); err != nil {
		return nil, nil, err
	}
	known, err = s.abilities(ctx, bound)
	return bound, known, err
}

// StartJob opens a job and returns it.
func (s *Station) StartJob(ctx context.Context, r StartRequest) (*job.Job, error) {
	p, f, err := s.Library().Procedure(r.Procedure)
	if err != nil {
		return nil, err
	}
	if strings.TrimSpace(r.UnitSerial) == "" {
		return nil, gauge.WrongInput("refusal.job.serial")
	}
	if strings.TrimSpace(r.Technician) == "" {
		return nil, gauge.WrongInput("refusal.job.technician")
	}
	labels, err := job.Labels(nil).With(r.Labels)
	if err != nil {
		return nil, err
	}
	gauges, err := s.bind(p, r.Gauges)
	if err != nil {
		return nil, err
	}
	data := job.StartedData{UnitSerial: r.UnitSerial, Labels: labels, ProcedureHash: p.Hash, Gauges: gauges, Rules: job.Rules}
	if data.Abilities, err = s.abilities(ctx, gauges); err != nil {
		return nil, err
	}
	if data.Warnings, err = s.usable(gauges); err != nil {
		return nil, err
	}
	for _, id := range slices.Sorted(maps.Keys(job.GaugesOf(gauges))) {
		if s.has(id, gauge.ModeTyped) {
			data.Typed = append(data.Typed, id)
		}
	}
	if err := decidable(p, f, data.Abilities, gauges); err != nil {
		return nil, err
	}
	data.ChooseFrom(p, f)
	data.Warnings = append(data.Warnings, s.edited(ctx, p, f)...)
	return s.change(ctx, func(d *draft) (*job.Job, error) {
		if err := s.meant(ctx, r); err != nil {
			return nil, err
		}
		for id := range maps.Values(gauges) {
			if err := d.free(id); err != nil {
				return nil, err
			}
		}
		id := d.lastJob + 1
		j, err := d.step(nil, gauge.JobFact{Job: id, Kind: job.KindStarted, By: r.Technician, Data: job.Marshal(data)}, job.Taken{})
		if err != nil {
			return nil, err
		}
		d.lastJob = id
		if r.Read == p.Hash {
			return d.stepOf(j, job.KindAcknowledged, r.Technician, struct{}{})
		}
		return j, nil
	})
}

// meant asks back whether a serial number that looks like another one is meant.
func (s *Station) meant(ctx context.Context, r StartRequest) error {
	if r.Confirmed {
		return nil
	}
	other, err := s.Alike(ctx, r.UnitSerial)
	if err != nil || other == nil {
		return err
	}
	return gauge.Refused("refusal.serial.alike", gauge.Text("serial", r.UnitSerial), gauge.Text("other", other.Serial),
		gauge.Count("job", other.Job), gauge.Moment("worked", other.Started))
}

// bind settles the gauge of each measurement.
func (s *Station) bind(p *procedure.Procedure, wanted map[string]string) (map[string]string, error) {
	bound, other := map[string]string{}, false // of another quantity is what is to measure all
	for _, steps := range [][]procedure.Step{p.Measure, p.Verify} {
		for _, step := range steps {
			id, ok := wanted[step.Name]
			if !ok {
				if id = wanted[AnyMeasurement]; s.measuresOther(id, step) || s.sendsNoMark(id, step) {
					other = other || s.measuresOther(id, step)
					continue
				}
			}
			if ok && s.sendsNoMark(id, step) {
				return nil, gauge.WrongInput("refusal.job.mark-has-no-gauge", gauge.Text("gauge", id), gauge.Text("unit", s.unitOf(id).String()), gauge.Text("measurement", step.Name))
			}
			if ok && s.measuresOther(id, step) {
				return nil, gauge.WrongInput("refusal.job.other-kind", gauge.Text("gauge", id), gauge.Text("unit", s.unitOf(id).String()),
					gauge.Text("measurement", step.Name), gauge.Word("kind", step.Unit.Kind().Word()))
			}
			if id != "" {
				bound[step.Name] = id
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(wanted)) {
		id := wanted[name]
		_, _, ok := p.Step(name)
		switch {
		case !ok && name != AnyMeasurement:
			return nil, job.NoMeasurement(p, name)
		case id == "":
		case !slices.Contains(s.order, id):
			return nil, s.noGauge(id)
		case name == AnyMeasurement && other && !slices.Contains(slices.Collect(maps.Values(bound)), id):
			return nil, gauge.WrongInput("refusal.job.serves-none", gauge.Text("gauge", id), gauge.Text("procedure", p.ID))
		case s.has(id, gauge.ModeSwitch):
			return nil, gauge.WrongInput("refusal.job.foot-switch", gauge.Text("gauge", id))
		}
	}
	return bound, nil
}

// measuresOther reports whether a gauge is configured to send another kind of quantity
// than a step measures.
func (s *Station) measuresOther(id string, step procedure.Step) bool {
	g, ok := s.configured(id)
	return ok && g.Unit.Known() && len(step.Codes) == 0 && g.Unit.Kind() != step.Unit.Kind()
}

// sendsNoMark reports whether a gauge sends values where a step reads a mark. One that
// is read by eye, such as a plug gauge, may be what the mark was read with.
func (s *Station) sendsNoMark(id string, step procedure.Step) bool {
	g, ok := s.configured(id)
	return ok && g.Unit.Known() && g.Mode != gauge.ModeTyped && len(step.Codes) > 0
}

// free refuses a second open job on a gauge whose button feeds jobs by itself:
// its reading would land in both.
func (d *draft) free(gaugeID string) (err error) {
	if d.gauge(gaugeID).Mode != gauge.ModeButton {
		return nil
	}
	d.eachOpen(func(j *job.Job) {
		if j.Uses(gaugeID) {
			err = gauge.Refused("refusal.job.button-in-use", gauge.Text("gauge", gaugeID), gauge.Count("job", j.ID), gauge.Text("serial", j.UnitSerial))
		}
	})
	return err
}

// EnterRequest types a value in.
type EnterRequest struct {
	Job         uint64
	Measurement string // empty: the one that is due
	Shown       string
	Unit        gauge.Unit
	Instrument  string // in the shop's words
	By          string // empty: the technician of the job
}

// typedGauge is the gauge id under which typed values are kept.
func typedGauge(instrument string) string {
	if instrument == "" {
		return gauge.TypedIn
	}
	return gauge.TypedIn + ": " + instrument
}

// readFrom is the gauge under which a typed value is kept: one without a connection
// that the measurement is bound to, or that is named.
func (d *draft) readFrom(j *job.Job, measurement, instrument string) (string, error) {
	bound := j.Gauges[measurement]
	typed := bound != "" && d.gauge(bound).Mode == gauge.ModeTyped
	named := instrument != "" && d.gauge(instrument).Mode == gauge.ModeTyped
	switch {
	case typed && named && bound != instrument:
		return "", gauge.Refused("refusal.reading.bound", gauge.Text("measurement", measurement), gauge.Text("gauge", bound), gauge.Count("job", j.ID))
	case typed && (named || instrument == ""):
		return bound, nil
	case named:
		return instrument, nil
	}
	return typedGauge(instrument), nil
}

// Enter takes a typed value and returns the job and the stored reading.
func (s *Station) Enter(ctx context.Context, r EnterRequest) (*job.Job, gauge.Fact, error) {
	var stored gauge.Fact
	j, err := s.change(ctx, func(d *draft) (*job.Job, error) {
		j, err := d.openJob(r.Job)
		if err != nil {
			return nil, err
		}
		measurement, by := cmp.Or(r.Measurement, j.Measuring), cmp.Or(r.By, j.Technician)
		if measurement == "" {
			return nil, notTaken(&gauge.Reading{Gauge: typedGauge(r.Instrument), Shown: r.Shown, Unit: r.Unit}, nothingDue(j))
		}
		typed, err := readTyped(j, measurement, r.Shown, r.Unit)
		if err != nil {
			return nil, err
		}
		from, err := d.readFrom(j, measurement, r.Instrument)
		if err != nil {
			return nil, err
		}
		reading := gauge.Reading{
			Gauge: from, Time: s.o.Now(), Value: typed.Value, Shown: r.Shown, Unit: typed.Unit,
			Status: gauge.StatusOK, EnteredBy: by,
		}
		if err := d.accepts(j, measurement, gauge.Fact{Reading: &reading}); err != nil {
			return nil, err
		}
		stored = d.reading(reading)
		if err := d.take(j, measurement, stored, by); err != nil {
			return nil, err
		}
		return d.jobs[j.ID], nil
	})
	return j, stored, err
}

// typed reads what was typed for a measurement.
func readTyped(j *job.Job, measurement, shown string, u gauge.Unit) (procedure.Reading, error) {
	if _, _, ok := j.Procedure.Step(measurement); !ok {
		// Which measurement it is for is refused where all readings are.
		value, err := gauge.ParseLength(shown, u)
		if err != nil {
			return procedure.Reading{}, gauge.AsInput(err)
		}
		return procedure.Reading{Value: value, Unit: u}, nil
	}
	r, err := j.Procedure.Typed(measurement, shown, u)
	var wrong *procedure.UnitError
	if errors.As(err, &wrong) {
		return r, gauge.AsRefused(err)
	}
	if err != nil {
		return r, gauge.AsInput(err)
	}
	return r, nil
}

// Discard marks a reading of a job as not counting; reading 0 is the last one
// taken that still counts.
func (s *Station) Discard(ctx context.Context, id, reading uint64, reason, by string) (*job.Job, error) {
	if strings.TrimSpace(reason) == "" {
		return nil, gauge.WrongInput("refusal.reading.discard-why")
	}
	return s.stepOf(ctx, id, by, func(j *job.Job) (string, any, error) {
		seq, err := discardable(j, reading)
		return job.KindDiscarded, job.DiscardedData{Reading: seq, Reason: reason}, err
	})
}

func discardable(j *job.Job, seq uint64) (uint64, error) {
	for i := len(j.Taken) - 1; i >= 0; i-- {
		r := j.Taken[i]
		if r.Seq == 0 || seq != 0 && r.Seq != seq || seq == 0 && r.Discarded != "" { // a part that is in was measured, and is no reading
			continue
		}
		if r.Discarded != "" {
			return 0, gauge.Refused("refusal.reading.discarded", gauge.Count("reading", seq), gauge.Text("why", r.Discarded))
		}
		if !j.MayDiscard(r) {
			return 0, gauge.Refused("refusal.reading.fitted-by", gauge.Count("reading", r.Seq), gauge.Text("measurement", r.Measurement))
		}
		return r.Seq, nil
	}
	if seq == 0 {
		return 0, gauge.Refused("refusal.reading.none-counts", gauge.Count("job", j.ID))
	}
	return 0, gauge.NotFound("refusal.reading.not-of-job", gauge.Count("reading", seq), gauge.Count("job", j.ID))
}

// Verify signs the verdict that the measurements give.
func (s *Station) Verify(ctx context.Context, id uint64, by string) (*job.Job, error) {
	return s.stepOf(ctx, id, by, func(j *job.Job) (string, any, error) {
		if j.Stage != job.StageDecided {
			return "", nil, gauge.Refused("refusal.job.no-verdict", gauge.Count("job", j.ID), j.Missing())
		}
		return job.KindVerified, struct{}{}, nil
	})
}

// CloseJob ends a job. One without a good verdict needs a reason, and one whose unit
// does not conform a signature before.
func (s *Station) CloseJob(ctx context.Context, id uint64, reason, by string) (*job.Job, error) {
	return s.end(ctx, id, reason, by, false)
}

// SignAndClose signs the verdict, where there is one, and closes the job with it, or does neither.
func (s *Station) SignAndClose(ctx context.Context, id uint64, reason, by string) (*job.Job, error) {
	return s.end(ctx, id, reason, by, true)
}

func (s *Station) end(ctx context.Context, id uint64, reason, by string, sign bool) (*job.Job, error) {
	return s.change(ctx, func(d *draft) (*job.Job, error) {
		j, err := d.unclosed(id)
		if err == nil {
			err = j.MayClose(strings.TrimSpace(reason) != "", sign || j.Verified)
		}
		if err == nil && sign && j.Stage == job.StageDecided && !j.Verified {
			j, err = d.stepOf(j, job.KindVerified, by, struct{}{})
		}
		if err != nil {
			return nil, err
		}
		return d.stepOf(j, job.KindClosed, by, job.ClosedData{Reason: reason, Warnings: d.closingWarnings(j)})
	})
}

// stepOf adds one fact to an open job.
func (s *Station) stepOf(ctx context.Context, id uint64, by string, decide decision) (*job.Job, error) {
	return s.stepFrom(ctx, by, func(d *draft) (*job.Job, error) { return d.openJob(id) }, decide)
}

// putRight stores what a decision makes of a job, which may be closed.
func (s *Station) putRight(ctx context.Context, id uint64, by string, decide decision) (*job.Job, error) {
	return s.stepFrom(ctx, by, func(d *draft) (*job.Job, error) { return d.anyJob(ctx, id) }, decide)
}

// decision is the fact that is to follow in a job.
type decision func(*job.Job) (kind string, data any, err error)

func (s *Station) stepFrom(ctx context.Context, by string, find func(*draft) (*job.Job, error), decide decision) (*job.Job, error) {
	return s.change(ctx, func(d *draft) (*job.Job, error) {
		j, err := find(d)
		if err != nil {
			return nil, err
		}
		kind, data, err := decide(j)
		if err != nil {
			return nil, err
		}
		return d.stepOf(j, kind, by, data)
	})
}

// stepOf adds a fact that names no reading.
func (d *draft) stepOf(j *job.Job, kind, by string, data any) (*job.Job, error) {
	return d.step(j, gauge.JobFact{Job: j.ID, Kind: kind, By: cmp.Or(by, j.Technician), Data: job.Marshal(data)}, job.Taken{})
}

// change runs a decision that leads to a new version of a job.
func (s *Station) change(ctx context.Context, decide func(*draft) (*job.Job, error)) (*job.Job, error) {
	var j *job.Job
	err := s.do(ctx, func(d *draft) (err error) {
		j, err = decide(d)
		return err
	})
	if err != nil {
		return nil, err
	}
	return j, nil
}
