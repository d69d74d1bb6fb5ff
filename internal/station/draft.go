package station

import (
	"maps"
	"slices"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/job"
	"gauged/internal/library"
)

// draft is the state that a batch of requests leads to. It becomes the
// station's state when the batch is durable, else it is dropped whole.
type draft struct {
	s          *Station
	below      *draft // what was decided before; nil: the station as it stands
	facts      []gauge.Fact
	nextSeq    uint64
	gauges     map[string]*GaugeStatus  // changed ones
	health     map[string]*health.Gauge // changed ones
	jobs       map[uint64]*job.Job      // changed ones
	library    *library.Library         // in force
	register   *access.Register         // who may come in
	sources    map[string]uint64        // changed ones
	configured *Configuration           // nil: unchanged
	lastJob    uint64
	unknown    uint64
	// requests are those that the facts were asked for with, by their ids.
	requests map[string]gauge.Request
}

func newDraft(s *Station) *draft {
	return (&draft{s: s, nextSeq: s.o.Store.LastSeq() + 1, lastJob: s.lastJob, library: s.library, register: s.register.Load(), requests: map[string]gauge.Request{}}).above(nil)
}

// above is a draft of what follows, in which nothing has changed yet.
func (d *draft) above(below *draft) *draft {
	next := *d
	next.below = below
	next.gauges, next.health, next.jobs, next.sources = map[string]*GaugeStatus{}, map[string]*health.Gauge{}, map[uint64]*job.Job{}, map[string]uint64{}
	return &next
}

// whole takes a decision with all of its changes, or, when it fails, with none. Decisions
// see the changes of those before, and are made in no other way.
func (d *draft) whole(decide func(*draft) error) error {
	next := d.above(d)
	if err := decide(next); err != nil {
		return err
	}
	maps.Copy(d.gauges, next.gauges)
	maps.Copy(d.health, next.health)
	maps.Copy(d.jobs, next.jobs)
	maps.Copy(d.sources, next.sources)
	d.facts, d.nextSeq, d.library, d.register = next.facts, next.nextSeq, next.library, next.register
	d.lastJob, d.unknown, d.configured = next.lastJob, next.unknown, next.configured
	return nil
}

// add numbers a fact and puts it into the batch.
func (d *draft) add(f gauge.Fact) gauge.Fact {
	f.Seq = d.nextSeq
	d.nextSeq++
	d.facts = append(d.facts, f)
	return f
}

// gauge returns the draft's own copy of a gauge; a new one for an id that was
// never seen, such as that of a typed value.
func (d *draft) gauge(id string) *GaugeStatus {
	if g, ok := d.gauges[id]; ok {
		return g
	}
	c := GaugeStatus{GaugeInfo: GaugeInfo{ID: id}, Rejected: map[gauge.Reason]uint64{}}
	if before, ok := soFar(d, func(d *draft) map[string]*GaugeStatus { return d.gauges }, d.s.gauges, id); ok {
		c = *before
	}
	d.gauges[id] = &c
	return &c
}

// isSeen reports whether anything was stored of a gauge; a call that named one wrongly
// has looked at it, and leaves none behind.
func (g *GaugeStatus) isSeen() bool {
	return g.Last.Reading != nil || g.State != "" || len(g.Rejected) > 0
}

// openJob returns a job as the batch has it so far, if it is open and on the bench.
func (d *draft) openJob(id uint64) (*job.Job, error) {
	j, err := d.unclosed(id)
	if err != nil {
		return nil, err
	}
	return j, j.OnBench()
}

// unclosed returns a job as the batch has it so far, if it is not closed.
func (d *draft) unclosed(id uint64) (*job.Job, error) {
	j, ok := d.job(id)
	switch {
	case ok && !j.Closed.IsZero(), !ok && id > 0 && id <= d.lastJob:
		return nil, gauge.Refused("refusal.job.closed", gauge.Count("job", id))
	case !ok:
		return nil, job.NoJob(id)
	}
	return j, nil
}

// job returns a job as the batch has it so far, unless it was closed before.
func (d *draft) job(id uint64) (*job.Job, bool) {
	return soFar(d, func(d *draft) map[uint64]*job.Job { return d.jobs }, d.s.jobs, id)
}

// soFar is what the batch has of something, or else the station.
func soFar[K comparable, V any](d *draft, changed func(*draft) map[K]V, committed map[K]V, key K) (v V, ok bool) {
	for ; d != nil && !ok; d = d.below {
		v, ok = changed(d)[key]
	}
	if !ok {
		v, ok = committed[key]
	}
	return v, ok
}

// eachOpen calls f with every open job as the batch has it so far.
func (d *draft) eachOpen(f func(*job.Job)) {
	var ids []uint64
	for at := d; at != nil; at = at.below {
		ids = slices.AppendSeq(ids, maps.Keys(at.jobs))
	}
	ids = slices.AppendSeq(ids, maps.Keys(d.s.jobs))
	slices.Sort(ids)
	for _, id := range slices.Compact(ids) {
		if j, _ := d.job(id); j.Closed.IsZero() {
			f(j)
		}
	}
}

// reading stores a reading under the next number of its gauge.
func (d *draft) reading(r gauge.Reading) gauge.Fact {
	g := d.gauge(r.Gauge)
	g.lastNumber++
	g.Readings++
	g.Garbled = Garbled{}
	r.Number = g.lastNumber
	g.Last = d.add(gauge.Fact{Reading: &r})
	return g.Last
}

// step adds a fact to a job, and a verdict when the job's evaluation says
// something new. It fails, with nothing added, when the fact does not fit.
func (d *draft) step(j *job.Job, f gauge.JobFact, t job.Taken) (*job.Job, error) {
	f.Time = d.s.o.Now()
	fact := gauge.Fact{Seq: d.nextSeq, Job: &f}
	next, err := j.With(fact, t, d.s.files)
	if err != nil {
		return nil, err
	}
	d.add(fact)
	d.used(next, fact, t)
	if next.Speaks(j) {
		d.add(gauge.Fact{Job: &gauge.JobFact{Job: f.Job, Time: f.Time, Kind: job.KindVerdict, Data: next.Evaluated}})
		next.LastSeq, next.Spoke = d.nextSeq-1, f.Time
	}
	next = next.Warned(d.healthOf, f.Time)
	d.jobs[f.Job] = next
	return next, nil
}
