package station

import (
	"context"
	"maps"
	"slices"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/library"
)

// SetAside has a job wait for a reason, such as a ring that is ordered: it takes no
// reading, and its gauges are free. to is who is to take it up again; empty: anybody.
func (s *Station) SetAside(ctx context.Context, id uint64, reason, to, by string) (*job.Job, error) {
	if strings.TrimSpace(reason) == "" {
		return nil, gauge.WrongInput("refusal.aside.why", gauge.Count("job", id))
	}
	return s.stepOf(ctx, id, by, func(*job.Job) (string, any, error) {
		return job.KindAside, job.AsideData{Reason: strings.TrimSpace(reason), For: strings.TrimSpace(to)}, nil
	})
}

// ResumeRequest takes up a job that was set aside.
type ResumeRequest struct {
	Job uint64
	By  string // who goes on with it; needed
	// Gauges are other gauges than before, by measurement; an empty one: it is typed in. What
	// was read before is discarded for the reason why the job was set aside: a mean of two
	// gauges is that of neither.
	Gauges map[string]string
}

// TakeUp takes up a job that was set aside. It holds its gauges again, as far as readings
// of them are still wanted; where one is not free or may not be used, it says which and why.
func (s *Station) TakeUp(ctx context.Context, r ResumeRequest) (*job.Job, error) {
	if strings.TrimSpace(r.By) == "" {
		return nil, gauge.WrongInput("refusal.aside.who", gauge.Count("job", r.Job))
	}
	before, err := s.Job(ctx, r.Job)
	if err != nil {
		return nil, err
	}
	data, err := s.others(ctx, before, r.Gauges)
	if err != nil {
		return nil, err
	}
	return s.change(ctx, func(d *draft) (*job.Job, error) {
		j, err := d.unclosed(r.Job)
		switch {
		case err != nil:
			return nil, err
		case j.Aside == nil:
			return nil, gauge.Refused("refusal.aside.not", gauge.Count("job", j.ID))
		}
		held := maps.Clone(j.Gauges)
		if held == nil {
			held = map[string]string{}
		}
		maps.Copy(held, data.Gauges)
		data := data
		if data.LetGo, err = d.heldAgain(j, held, data.Gauges); err != nil {
			return nil, err
		}
		data.Warnings = append(slices.Clip(data.Warnings), d.otherFiles(j)...)
		why, by := j.Aside.Reason, strings.TrimSpace(r.By)
		if j, err = d.stepOf(j, job.KindResumed, by, data); err != nil {
			return nil, err
		}
		return d.measureAgain(j, data.Gauges, why, by)
	})
}

// measureAgain discards what was read of measurements that have another gauge from now on.
func (d *draft) measureAgain(j *job.Job, changed map[string]string, why, by string) (_ *job.Job, err error) {
	for _, taken := range j.Taken {
		if _, other := changed[taken.Measurement]; !other || taken.Discarded != "" || taken.Seq == 0 {
			continue
		}
		if taken.Seq, err = discardable(j, taken.Seq); err != nil {
			return nil, err
		}
		if j, err = d.stepOf(j, job.KindDiscarded, by, job.DiscardedData{Reading: taken.Seq, Reason: why}); err != nil {
			return nil, err
		}
	}
	return j, nil
}

// others are the gauges that a job is to have in place of those of before.
func (s *Station) others(ctx context.Context, j *job.Job, wanted map[string]string) (data job.ResumedData, err error) {
	if len(wanted) == 0 {
		return data, nil
	}
	if _, any := wanted[AnyMeasurement]; any {
		return data, gauge.WrongInput("refusal.aside.any", gauge.Count("job", j.ID))
	}
	bound, err := s.bind(j.Procedure, wanted)
	if err != nil {
		return data, err
	}
	for _, name := range slices.Sorted(maps.Keys(wanted)) {
		if wanted[name] == j.Gauges[name] {
			delete(bound, name)
			continue
		}
		if data.Gauges == nil {
			data.Gauges = map[string]string{}
		}
		data.Gauges[name] = bound[name]
	}
	if data.Warnings, err = s.usable(bound); err != nil {
		return data, err
	}
	for _, id := range slices.Sorted(maps.Keys(job.GaugesOf(bound))) {
		if s.has(id, gauge.ModeTyped) && !slices.Contains(j.Typed, id) {
			data.Typed = append(data.Typed, id)
		}
	}
	data.Abilities, err = s.abilities(ctx, bound)
	return data, err
}

// heldAgain refuses to take a job up while one of its gauges is not free or may not be used.
// Those of which nothing more is wanted are let go instead.
func (d *draft) heldAgain(j *job.Job, held, changed map[string]string) (letGo []string, err error) {
	for _, id := range slices.Sorted(maps.Keys(job.GaugesOf(held))) {
		if id == "" {
			continue
		}
		why := d.serves(id)
		if !slices.Contains(d.s.order, id) {
			why = d.s.noGauge(id)
		}
		if why == nil {
			why = d.free(id)
		}
		again := slices.ContainsFunc(slices.Collect(maps.Keys(held)), func(name string) bool {
			m, applies := j.Measurement(name)
			_, other := changed[name]
			return held[name] == id && (other || !applies || !m.Complete)
		})
		switch {
		case why != nil && again:
			return nil, gauge.Refused("refusal.aside.gauge", gauge.Count("job", j.ID), gauge.Text("gauge", id), gauge.Because("why", why))
		case why != nil:
			letGo = append(letGo, id)
		}
	}
	return letGo, nil
}

// otherFiles warns where the procedure or a part family has another version in force than
// the job, which goes on with its own.
func (d *draft) otherFiles(j *job.Job) (said []gauge.Message) {
	hash, families := j.FileVersions()
	p, _, err := d.library.Procedure(j.Procedure.ID)
	if err != nil || p.Hash != hash {
		said = append(said, gauge.Say("warning.aside.procedure", gauge.Text("procedure", j.Procedure.ID)))
	}
	for _, id := range slices.Sorted(maps.Keys(families)) {
		if f, err := d.library.File(library.KindParts, id); err != nil || f.Hash != families[id] {
			said = append(said, gauge.Say("warning.aside.parts", gauge.Text("family", id)))
		}
	}
	return slices.DeleteFunc(said, func(m gauge.Message) bool { return job.Says(j.Told, m) })
}

// CorrectSerial puts the serial number of the unit of a job right, also of a closed one.
// What was said before stays in the history, and the job is found by both.
func (s *Station) CorrectSerial(ctx context.Context, id uint64, serial, reason, by string) (*job.Job, error) {
	return s.putRight(ctx, id, by, func(j *job.Job) (string, any, error) { return j.Renumbered(serial, reason) })
}

// SetLabels sets labels of a job, also of a closed one; an empty text takes its label away,
// and a label that is not named stays. What was there and becomes another needs a reason.
func (s *Station) SetLabels(ctx context.Context, id uint64, changes job.Labels, reason, by string) (*job.Job, error) {
	return s.putRight(ctx, id, by, func(j *job.Job) (string, any, error) { return j.Relabelled(changes, reason) })
}

// anyJob returns a job as the batch has it so far, open or closed.
func (d *draft) anyJob(ctx context.Context, id uint64) (*job.Job, error) {
	if j, ok := d.job(id); ok {
		return j, nil
	}
	if id == 0 || id > d.lastJob {
		return nil, job.NoJob(id)
	}
	return job.Load(ctx, d.s.o.Store, id, d.s.files, nil)
}
