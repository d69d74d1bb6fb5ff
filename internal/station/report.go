package station

import (
	"cmp"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

// report turns a gauge's report into facts.
func (d *draft) report(r Report) error {
	switch {
	case r.Reading != nil:
		d.gaugeReading(*r.Reading, true)
	case r.Reject != nil:
		d.reject(*r.Reject, max(r.Count, 1))
	case r.State != nil:
		g := d.gauge(r.State.Gauge)
		g.State, g.Since, g.Reason = r.State.State, r.State.Time, r.State.Reason
		change := *r.State
		d.add(gauge.Fact{State: &change})
	}
	return nil
}

func (d *draft) reject(r gauge.Reject, count uint64) { d.rejected(r, count, true) }

// rejected counts a rejected frame, and keeps it where that is said.
func (d *draft) rejected(r gauge.Reject, count uint64, keep bool) {
	g := d.gauge(r.Gauge)
	rejected := make(map[gauge.Reason]uint64, len(g.Rejected)+1)
	for reason, n := range g.Rejected {
		rejected[reason] = n
	}
	rejected[r.Reason] += count
	g.Rejected = rejected
	if keep {
		d.add(gauge.Fact{Reject: &r})
	}
	if g.Mode == gauge.ModeButton && r.Reason != gauge.ReasonRepeated {
		d.garbled(g, r, count)
	}
}

// garbled tells in the jobs that use a button gauge that a press gave no reading:
// its gauge stays live, and somebody who looks at the part believes it was taken.
func (d *draft) garbled(g *GaugeStatus, r gauge.Reject, count uint64) {
	g.Garbled = Garbled{Frames: g.Garbled.Frames + count, Last: r}
	args := []gauge.Arg{gauge.Text("gauge", g.ID), gauge.WordOf("reason", "reject", r.Reason), gauge.Nested("detail", r.Detail)}
	why := gauge.Say("notice.garbled", args...)
	if g.Garbled.Frames > 1 {
		why = gauge.Say("notice.garbled-often", append(args, gauge.Count("frames", g.Garbled.Frames))...)
	}
	d.eachOpen(func(j *job.Job) {
		if j.Uses(g.ID) {
			d.notice(j, why)
		}
	})
}

// gaugeReading stores a reading and, when it came at the press of a button,
// takes it into the job that waits for it. One that is not timed has the time at which it came.
func (d *draft) gaugeReading(r gauge.Reading, timed bool) {
	f := d.reading(r)
	g := d.gauge(r.Gauge)
	if g.Mode != gauge.ModeButton || g.Press != "" && g.Press != gauge.MeansCapture {
		return
	}
	if b := d.healthOf(r.Gauge).Checking(d.s.o.Now()); b != nil {
		d.pressedForCheck(r.Gauge, b)
		return
	}
	d.pressedForJobs(press{f, timed})
}

// press is a reading that came at the press of a button.
type press struct {
	gauge.Fact
	timed bool // when it was made is known
}

// again reports whether it is the second press at what a job has measured.
func (p press) again(j *job.Job) bool { return p.timed && j.PressedTwice(p.Reading) }

// pressedForJobs takes a pressed reading into the open jobs of its gauge: first into the
// one that waits for it. Where one took it, it is no zero return after another.
func (d *draft) pressedForJobs(f press) {
	var jobs []*job.Job
	d.eachOpen(func(j *job.Job) {
		if j.Uses(f.Reading.Gauge) {
			jobs = append(jobs, j)
		}
	})
	waits := func(j *job.Job) bool { return j.Gauges[j.Measuring] == f.Reading.Gauge }
	turn := func(j *job.Job) int {
		if waits(j) || f.again(j) {
			return 0
		}
		return 1
	}
	slices.SortFunc(jobs, func(a, b *job.Job) int { return cmp.Or(cmp.Compare(turn(a), turn(b)), cmp.Compare(a.ID, b.ID)) })
	took := false
	for _, j := range jobs {
		if took && j.Measuring == "" {
			continue
		}
		if now, ok := d.job(j.ID); ok {
			j = now // what the reading did to one may say something to the next
		}
		err := d.whole(func(d *draft) error { return d.takePressed(j, f) })
		if err != nil {
			d.notice(j, gauge.Told(err))
		}
		took = took || err == nil && waits(j) || f.again(j)
	}
}

// takePressed takes what came at the press of a button into the measurement that
// is due.
func (d *draft) takePressed(j *job.Job, f press) error {
	if r := f.Reading; r.Source != "" {
		if why := d.stale(r, oldestFromOutside); !why.IsZero() {
			return notTaken(r, why)
		}
	}
	switch twice := f.again(j); {
	case twice && j.Measuring == "":
		return notTaken(f.Reading, nothingDue(j)) // no zero return either
	case twice && j.Gauges[j.Measuring] == f.Reading.Gauge:
		return notTaken(f.Reading, gauge.Say("because.pressed-twice", gauge.Text("measurement", j.Titled(j.Measuring))))
	}
	return d.take(j, j.Measuring, f.Fact, "")
}

// notice tells in a job why something was not done.
func (d *draft) notice(j *job.Job, why gauge.Message) {
	noticed := *j
	noticed.Notice = why
	d.jobs[j.ID] = &noticed
}

// take puts a stored reading into a measurement of a job.
func (d *draft) take(j *job.Job, measurement string, f gauge.Fact, by string) error {
	if measurement == "" {
		if taken, err := d.zeroReturn(j, f, by); taken || err != nil {
			return err
		}
	}
	if err := d.accepts(j, measurement, f); err != nil {
		return err
	}
	_, err := d.step(j, gauge.JobFact{Job: j.ID, Kind: job.KindTaken, By: by, Data: job.Marshal(job.TakenData{Reading: f.Seq, Measurement: measurement})}, job.Taken{Reading: f.Reading})
	return err
}

// accepts says why a reading is not taken into a measurement.
func (d *draft) accepts(j *job.Job, measurement string, f gauge.Fact) error {
	if err := d.serves(f.Reading.Gauge); err != nil {
		return err
	}
	if why := future(f.Reading, d.s.o.Now()); !why.IsZero() {
		return notTaken(f.Reading, why)
	}
	return accepts(j, measurement, f)
}

// accepts says why a reading does not belong into a measurement.
func accepts(j *job.Job, measurement string, f gauge.Fact) error {
	r := f.Reading
	of := gauge.Text("measurement", measurement)
	_, verify, ok := j.Procedure.Step(measurement)
	switch {
	case measurement == "":
		return notTaken(r, nothingDue(j))
	case !ok:
		return job.NoMeasurement(j.Procedure, measurement)
	case verify && !j.AllFitted():
		return notTaken(r, gauge.Say("because.after-fitting", of))
	case !verify && len(j.Fitted) > 0:
		return notTaken(r, gauge.Say("because.before-fitting", of))
	case r.EnteredBy == "" && j.Gauges[measurement] == "":
		return notTaken(r, gauge.Say("because.typed-in", of))
	case r.EnteredBy == "" && j.Gauges[measurement] != r.Gauge:
		return notTaken(r, gauge.Say("because.other-gauge", of, gauge.Text("gauge", j.Gauges[measurement])))
	case j.HasTaken(f.Seq):
		return notTaken(r, gauge.Say("because.taken-already"))
	}
	if err := j.Procedure.AcceptUnit(measurement, r.Shown, r.Unit); err != nil {
		return gauge.AsRefused(err)
	}
	return nil
}

// nothingDue says why a job takes no reading when none of its measurements is due.
func nothingDue(j *job.Job) gauge.Message {
	in := gauge.Count("job", j.ID)
	if j.Unproven() {
		return gauge.Say("because.nothing-after-fitting", in)
	}
	return gauge.Say("because.nothing-due", in)
}

// notTaken refuses a reading of a job.
func notTaken(r *gauge.Reading, why gauge.Message) error {
	return gauge.Refused("refusal.reading.not-taken", gauge.Shown("reading", r.Shown, r.Unit), gauge.Text("gauge", r.Gauge), gauge.Nested("why", why))
}
