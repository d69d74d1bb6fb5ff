package station

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
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
}

// StartJob opens a job and returns it.
func (s *Station) StartJob(ctx context.Context, r StartRequest) (*Job, error) {
	p, f, err := s.o.Library.Procedure(r.Procedure)
	if err != nil {
		return nil, err
	}
	if strings.TrimSpace(r.UnitSerial) == "" {
		return nil, fmt.Errorf("%w: a job needs the serial number of the unit", ErrInput)
	}
	if strings.TrimSpace(r.Technician) == "" {
		return nil, fmt.Errorf("%w: a job needs the name of the technician", ErrInput)
	}
	gauges, err := s.bind(p, r.Gauges)
	if err != nil {
		return nil, err
	}
	data := startedData{UnitSerial: r.UnitSerial, ProcedureHash: p.Hash, Gauges: gauges}
	if f != nil {
		data.PartsHash = f.Hash
	}
	return s.change(ctx, func(d *draft) (*Job, error) {
		for id := range maps.Values(gauges) {
			if err := d.free(id); err != nil {
				return nil, err
			}
		}
		id := d.lastJob + 1
		j, err := d.step(nil, gauge.JobFact{Job: id, Kind: kindStarted, By: r.Technician, Data: marshal(data)}, taken{})
		if err == nil {
			d.lastJob = id
		}
		return j, err
	})
}

// bind settles the gauge of each measurement.
func (s *Station) bind(p *evaluate.Procedure, wanted map[string]string) (map[string]string, error) {
	bound := map[string]string{}
	for _, steps := range [][]evaluate.Step{p.Measure, p.Verify} {
		for _, step := range steps {
			id, ok := wanted[step.Name]
			if !ok {
				id = wanted[AnyMeasurement]
			}
			if id != "" {
				bound[step.Name] = id
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(wanted)) {
		if _, _, ok := p.Step(name); !ok && name != AnyMeasurement {
			return nil, fmt.Errorf("%w: procedure %s has no measurement %q", ErrInput, p.ID, name)
		}
		if id := wanted[name]; id != "" && !slices.Contains(s.order, id) {
			return nil, fmt.Errorf("%w: there is no gauge %q; the gauges are %s", ErrNotFound, id, strings.Join(s.order, ", "))
		}
	}
	return bound, nil
}

// free refuses a second open job on a gauge whose button feeds jobs by itself:
// its reading would land in both.
func (d *draft) free(gaugeID string) (err error) {
	if d.gauge(gaugeID).Mode != ModeButton {
		return nil
	}
	d.eachOpen(func(j *Job) {
		if j.uses(gaugeID) {
			err = fmt.Errorf("%w: the button of gauge %s feeds job %d (unit %s), which is still open; close that job first", ErrRefused, gaugeID, j.ID, j.UnitSerial)
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
		return "typed"
	}
	return "typed: " + instrument
}

// Enter takes a typed value and returns the job and the stored reading.
func (s *Station) Enter(ctx context.Context, r EnterRequest) (*Job, gauge.Fact, error) {
	value, err := gauge.ParseLength(r.Shown, r.Unit)
	if err != nil {
		return nil, gauge.Fact{}, fmt.Errorf("%w: %w", ErrInput, err)
	}
	var stored gauge.Fact
	j, err := s.change(ctx, func(d *draft) (*Job, error) {
		j, err := d.openJob(r.Job)
		if err != nil {
			return nil, err
		}
		measurement, by := cmp.Or(r.Measurement, j.Measuring), cmp.Or(r.By, j.Technician)
		reading := gauge.Reading{
			Gauge: typedGauge(r.Instrument), Time: s.o.Now(), Value: value, Shown: r.Shown, Unit: r.Unit,
			Status: gauge.StatusOK, EnteredBy: by,
		}
		if err := j.accepts(measurement, gauge.Fact{Reading: &reading}); err != nil {
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

// Discard marks a reading of a job as not counting; reading 0 is the last one
// taken that still counts.
func (s *Station) Discard(ctx context.Context, job, reading uint64, reason, by string) (*Job, error) {
	if strings.TrimSpace(reason) == "" {
		return nil, fmt.Errorf("%w: a reading is discarded with a reason, such as: not seated", ErrInput)
	}
	return s.stepOf(ctx, job, by, func(j *Job) (string, any, error) {
		seq, err := j.discardable(reading)
		return kindDiscarded, discardedData{seq, reason}, err
	})
}

func (j *Job) discardable(seq uint64) (uint64, error) {
	for i := len(j.taken) - 1; i >= 0; i-- {
		r := j.taken[i]
		if seq != 0 && r.Seq != seq || seq == 0 && r.Discarded != "" {
			continue
		}
		if r.Discarded != "" {
			return 0, fmt.Errorf("%w: reading %d is discarded already: %s", ErrRefused, seq, r.Discarded)
		}
		return r.Seq, nil
	}
	if seq == 0 {
		return 0, fmt.Errorf("%w: job %d has no reading that counts", ErrRefused, j.ID)
	}
	return 0, fmt.Errorf("%w: reading %d does not belong to job %d", ErrNotFound, seq, j.ID)
}

// Choose settles the part: the recommended one when part is empty. Another
// part needs a reason.
func (s *Station) Choose(ctx context.Context, job uint64, part, reason, by string) (*Job, error) {
	return s.stepOf(ctx, job, by, func(j *Job) (string, any, error) {
		recommended := j.recommended()
		chosen := cmp.Or(part, recommended)
		switch {
		case !j.Procedure.ChoosesPart():
			return "", nil, fmt.Errorf("%w: procedure %s fits no part", ErrRefused, j.Procedure.ID)
		case !j.measured():
			return "", nil, fmt.Errorf("%w: job %d is not measured yet", ErrRefused, j.ID)
		case chosen == "" && j.Procedure.ToSize:
			chosen = "made to size"
		case chosen == "":
			return "", nil, fmt.Errorf("%w: no part is recommended; name one, with the reason", ErrRefused)
		}
		if j.Family != nil {
			if _, ok := j.Family.Grade(chosen); !ok && j.Procedure.Choose.Pack == nil {
				return "", nil, fmt.Errorf("%w: there is no part %q in the family %s", ErrNotFound, chosen, j.Family.ID)
			}
			if chosen != recommended && strings.TrimSpace(reason) == "" {
				return "", nil, fmt.Errorf("%w: %s is not the recommended part (%s); say why it is taken", ErrInput, chosen, cmp.Or(recommended, "there is none"))
			}
		}
		return kindChosen, chosenData{chosen, reason}, nil
	})
}

// recommended names the part or the pack that the evaluation recommends.
func (j *Job) recommended() string {
	switch e := j.Evaluation; {
	case e.Choice != nil:
		return e.Choice.Part
	case e.Pack != nil:
		return e.Pack.Name()
	}
	return ""
}

// FitRequest says which part was fitted.
type FitRequest struct {
	Job       uint64
	Part      string // empty: the part that was settled on, else the recommended one
	Thickness string // measured, as it was read; empty when it was not measured
	Unit      gauge.Unit
	By        string
}

// Fit records the fitted part; the measurements after fitting begin anew.
func (s *Station) Fit(ctx context.Context, r FitRequest) (*Job, error) {
	data := fittedData{Shown: r.Thickness, Unit: r.Unit}
	if r.Thickness != "" {
		t, err := gauge.ParseLength(r.Thickness, r.Unit)
		if err != nil {
			return nil, fmt.Errorf("%w: thickness: %w", ErrInput, err)
		}
		if kind := r.Unit.Kind(); kind != gauge.KindLength {
			return nil, fmt.Errorf("%w: thickness %s: %v is a unit of %v; use mm, in or um", ErrInput, r.Unit.Quantity(r.Thickness), r.Unit, kind)
		}
		if t <= 0 {
			return nil, fmt.Errorf("%w: thickness %s %s: a part is thicker than zero", ErrInput, r.Thickness, r.Unit)
		}
		data.Thickness = &t
	}
	return s.stepOf(ctx, r.Job, r.By, func(j *Job) (string, any, error) {
		data.Part = cmp.Or(r.Part, cmp.Or(j.Chosen, j.recommended()))
		switch {
		case !j.Procedure.ChoosesPart():
			return "", nil, fmt.Errorf("%w: procedure %s fits no part", ErrRefused, j.Procedure.ID)
		case !j.measured():
			return "", nil, fmt.Errorf("%w: job %d is not measured yet; measure before a part is fitted", ErrRefused, j.ID)
		case data.Part == "" && j.Procedure.ToSize:
			data.Part = "made to size"
		case data.Part == "":
			return "", nil, fmt.Errorf("%w: no part is recommended; name the one that was fitted", ErrInput)
		}
		if j.Procedure.ToSize && data.Thickness == nil {
			return "", nil, fmt.Errorf("%w: the part is made to size; give its measured thickness", ErrInput)
		}
		return kindFitted, data, nil
	})
}

// Verify signs the verdict that the measurements give.
func (s *Station) Verify(ctx context.Context, job uint64, by string) (*Job, error) {
	return s.stepOf(ctx, job, by, func(j *Job) (string, any, error) {
		if j.Stage != StageDecided {
			return "", nil, fmt.Errorf("%w: job %d has no verdict yet: %s", ErrRefused, j.ID, j.missing())
		}
		return kindVerified, struct{}{}, nil
	})
}

// missing says in words what a job waits for.
func (j *Job) missing() string {
	switch {
	case j.Measuring != "":
		return "measure " + j.Measuring
	case j.Stage == StageMeasure || j.Stage == StageVerify:
		return "discard a reading and measure again"
	case j.Stage == StageChoose:
		return "settle the part"
	default:
		return "fit the part and record it"
	}
}

// CloseJob ends a job. One without a verdict needs a reason.
func (s *Station) CloseJob(ctx context.Context, job uint64, reason, by string) (*Job, error) {
	return s.stepOf(ctx, job, by, func(j *Job) (string, any, error) {
		fittedWithoutProof := j.Stage == StageVerify && len(j.Procedure.Verify) == 0
		if j.Stage != StageDecided && !fittedWithoutProof && strings.TrimSpace(reason) == "" {
			return "", nil, fmt.Errorf("%w: job %d is not finished (%s); give a reason to close it", ErrInput, j.ID, j.missing())
		}
		return kindClosed, closedData{reason}, nil
	})
}

// stepOf adds one fact to an open job.
func (s *Station) stepOf(ctx context.Context, job uint64, by string, decide func(*Job) (kind string, data any, err error)) (*Job, error) {
	return s.change(ctx, func(d *draft) (*Job, error) {
		j, err := d.openJob(job)
		if err != nil {
			return nil, err
		}
		kind, data, err := decide(j)
		if err != nil {
			return nil, err
		}
		return d.step(j, gauge.JobFact{Job: job, Kind: kind, By: cmp.Or(by, j.Technician), Data: marshal(data)}, taken{})
	})
}

// change runs a decision that leads to a new version of a job.
func (s *Station) change(ctx context.Context, decide func(*draft) (*Job, error)) (*Job, error) {
	var j *Job
	err := s.do(ctx, func(d *draft) (err error) {
		j, err = decide(d)
		return err
	})
	if err != nil {
		return nil, err
	}
	return j, nil
}
