package station

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"strings"
	"time"

	"gauged/internal/evaluate/capture"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/tail"
)

// captureLasts is how long a capture from a moving indicator goes on at most.
const captureLasts = 3 * time.Minute

// Motion is how far a capture from a moving indicator has come.
type Motion struct {
	Kind    procedure.MovingKind
	Wanted  int            // strokes
	Plays   []gauge.Length // of the strokes so far
	Faults  []string       // strokes that gave none, and why
	Resting bool           // the shaft rests now
	Now     gauge.Fact     // the newest reading
}

// CaptureMotion takes readings out of the stream of the gauge that a
// measurement is bound to, as the procedure's step says: a value at rest, the
// extremes of a turn, or the play of each stroke between two stops. It returns
// the job when it has them; it gives up when ctx ends or after three minutes.
// progress, when given, is called after each reading.
func (s *Station) CaptureMotion(ctx context.Context, r CaptureRequest, progress func(Motion)) (*job.Job, []gauge.Fact, error) {
	j, err := s.Job(ctx, r.Job)
	if err != nil {
		return nil, nil, err
	}
	if err := j.OnBench(); err != nil {
		return nil, nil, err
	}
	r.Measurement = cmp.Or(r.Measurement, j.Measuring)
	r.Gauge = cmp.Or(r.Gauge, j.Gauges[r.Measurement])
	step, _, _ := j.Procedure.Step(r.Measurement)
	switch {
	case step.Moving == nil:
		return nil, nil, notMoving(j, r.Measurement)
	case r.Gauge == "":
		return nil, nil, noGauge(j, r.Measurement)
	}
	ctx, cancel := context.WithTimeoutCause(ctx, captureLasts, errCaptureLasts)
	defer cancel()
	m, cursor := newMotion(step), s.Watch(s.Newest())
	if err := s.gone(r.Gauge); err != nil {
		return nil, nil, err
	}
	if err := m.follow(ctx, cursor, r.Gauge, progress); err != nil {
		return nil, nil, err
	}
	return s.takeMotion(ctx, r, m)
}

// errCaptureLasts ends a capture that has found nothing in its time.
var errCaptureLasts = errors.New("the time of the capture is over")

// notMoving says that a measurement is not captured from a moving indicator.
func notMoving(j *job.Job, measurement string) error {
	p := gauge.Text("procedure", j.Procedure.ID)
	if measurement == "" {
		return gauge.Refused("refusal.motion.nothing-moving", p)
	}
	return gauge.Refused("refusal.motion.not-moving", p, gauge.Text("measurement", measurement))
}

// takeMotion puts what was found into the job, all of it or nothing.
func (s *Station) takeMotion(ctx context.Context, r CaptureRequest, m *motion) (*job.Job, []gauge.Fact, error) {
	var facts []gauge.Fact
	j, err := s.change(ctx, func(d *draft) (*job.Job, error) {
		facts = nil
		for _, w := range m.ways() {
			j, err := d.openJob(r.Job)
			if err != nil {
				return nil, err
			}
			if err := d.takeWay(j, r.Measurement, w.from, w.to, r.By); err != nil {
				return nil, err
			}
			facts = append(facts, w.to)
		}
		return d.jobs[r.Job], nil
	})
	return j, facts, err
}

// takeWay puts the way between two stored readings into a measurement of a job,
// or one reading when from has none.
func (d *draft) takeWay(j *job.Job, measurement string, from, to gauge.Fact, by string) error {
	if err := d.accepts(j, measurement, to); err != nil {
		return err
	}
	data := job.TakenData{Reading: to.Seq, From: from.Seq, Measurement: measurement}
	_, err := d.step(j, gauge.JobFact{Job: j.ID, Kind: job.KindTaken, By: by, Data: job.Marshal(data)}, job.Taken{Reading: to.Reading, From: from.Reading})
	return err
}

// motion is a capture under way.
type motion struct {
	step     procedure.Step
	stable   *capture.Stable
	turn     *capture.Turn
	stops    *capture.EndStops
	readings map[uint64]gauge.Fact // those seen so far, which a result may name
	began    time.Time
	rest     capture.Reading // the result of stable
	done     bool
}

func newMotion(step procedure.Step) *motion {
	return &motion{step: step, readings: map[uint64]gauge.Fact{}}
}

// begin sets the capture up when the first reading shows how fine the gauge is.
func (m *motion) begin(first gauge.Reading) {
	_, decimals, _ := strings.Cut(first.Shown, ".")
	resolution := first.Unit.Size()
	for range decimals {
		resolution /= 10
	}
	moving := m.step.Moving
	c := capture.Config{Band: moving.Band, Quiet: moving.Quiet, Count: moving.Count, Least: moving.Least, Strokes: moving.Strokes}.With(resolution)
	m.began = first.Time
	switch moving.Kind {
	case procedure.MovingTurn:
		m.turn = capture.NewTurn(c)
	case procedure.MovingEndStops:
		m.stops = capture.NewEndStops(c)
	default:
		m.stable = capture.NewStable(c)
	}
}

// follow feeds the readings of a gauge until the capture is done.
func (m *motion) follow(ctx context.Context, cursor *tail.Cursor, id string, progress func(Motion)) error {
	for !m.done {
		page, err := cursor.Next(ctx)
		if err != nil {
			if errors.Is(context.Cause(ctx), errCaptureLasts) {
				return gauge.Refused("refusal.motion.ended", gauge.Span("limit", captureLasts), gauge.Nested("found", m.soFar()), gauge.Text("gauge", id))
			}
			return err
		}
		for _, f := range page.Facts {
			if err := isGone(f.State, id); err != nil && !m.done {
				return gauge.Refused("refusal.motion.gone", gauge.Because("why", err), gauge.Nested("found", m.soFar()))
			}
			if f.Reading == nil || f.Reading.Gauge != id || m.done {
				continue
			}
			m.feed(f)
			if progress != nil {
				progress(m.state(f))
			}
		}
	}
	return nil
}

// gone says why a gauge gives no readings now; nil when it may. Until somebody has
// looked at its port, and given a reason, nothing is known of it.
func (s *Station) gone(id string) error {
	for _, g := range s.Gauges() {
		if g.ID == id && !g.Reason.IsZero() {
			return isGone(&gauge.StateChange{Gauge: id, State: g.State, Reason: g.Reason}, id)
		}
	}
	return nil
}

// isGone is why no reading of a gauge comes after a change; nil when one may.
func isGone(c *gauge.StateChange, id string) error {
	if c == nil || c.Gauge != id {
		return nil
	}
	return c.Gone()
}

func (m *motion) feed(f gauge.Fact) {
	if len(m.readings) == 0 {
		m.begin(*f.Reading)
	}
	m.readings[f.Seq] = f
	x := capture.Reading{Seq: f.Seq, Time: f.Reading.Time.Sub(m.began), Value: f.Reading.Value}
	switch {
	case m.turn != nil:
		m.turn.Step(x)
		m.done = x.Time >= capture.TurnLasts
	case m.stops != nil:
		m.stops.Step(x)
		m.done = m.stops.Found().Done
	default:
		m.rest, m.done = m.stable.Step(x)
	}
}

// fromTo is a way between two stored readings, or one reading.
type fromTo struct{ from, to gauge.Fact }

// ways are what goes into the job: the plays of the strokes, the reading at
// rest, or of a turn its beginning, its extremes and its end.
func (m *motion) ways() []fromTo {
	switch {
	case m.stops != nil:
		var ways []fromTo
		for _, s := range m.stops.Found().Strokes {
			ways = append(ways, fromTo{m.readings[s.From.Seq], m.readings[s.To.Seq]})
		}
		return ways
	case m.turn != nil:
		var ways []fromTo
		at := []uint64{m.turn.First.Seq, m.turn.Smallest.Seq, m.turn.Largest.Seq, m.turn.Last.Seq}
		slices.Sort(at)
		for _, seq := range slices.Compact(at) {
			ways = append(ways, fromTo{to: m.readings[seq]})
		}
		return ways
	}
	return []fromTo{{to: m.readings[m.rest.Seq]}}
}

// state is how far the capture has come.
func (m *motion) state(now gauge.Fact) Motion {
	s := Motion{Kind: m.step.Moving.Kind, Now: now}
	if m.stops == nil {
		return s
	}
	found := m.stops.Found()
	s.Wanted, s.Resting = m.step.Moving.Strokes, found.Resting
	for _, stroke := range found.Strokes {
		s.Plays = append(s.Plays, stroke.Play())
	}
	for _, f := range found.Faults {
		s.Faults = append(s.Faults, f.In(now.Reading))
	}
	return s
}

// soFar says what a capture that gave up had found.
func (m *motion) soFar() gauge.Message {
	if len(m.readings) == 0 {
		return gauge.Say("because.motion.no-reading")
	}
	if m.stops == nil {
		return gauge.Say("because.motion.no-rest", gauge.Count("count", len(m.readings)))
	}
	var any gauge.Fact // which one does not matter: its unit and decimals are those of all
	for _, any = range m.readings {
		break
	}
	s := m.state(any)
	args := []gauge.Arg{gauge.Count("count", len(s.Plays)), gauge.Count("of", s.Wanted)}
	if len(s.Faults) > 0 {
		args = append(args, gauge.Text("faults", strings.Join(s.Faults, "; ")))
	}
	return gauge.Say("because.motion.strokes", args...)
}
