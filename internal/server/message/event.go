package message

import (
	"context"
	"fmt"

	"gauged/internal/evaluate"
	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/job"
	"gauged/internal/station"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// longestEvent is how many bytes an event may have as JSON.
const longestEvent = 1 << 20

// Events writes what happens at a station with a name as exits hand it on, for one exit.
// stretchOf is the stretch in which a fact got its number: with that it has a name among all
// that this and every copy of the history ever stored.
func Events(s *station.Station, name string, stretchOf func(ctx context.Context, seq uint64) (string, error)) letter.Write {
	heads := JobHeads{Station: s}
	return func(ctx context.Context, f gauge.Fact) (l letter.Letter, err error) {
		e := &gaugedv1.ExitEvent{Kind: wire.ExitEventKind(letter.EventOf(f)), Station: name, Seq: f.Seq, Time: wire.Time(f.Time())}
		if f.Seq > 0 {
			stretch, err := stretchOf(ctx, f.Seq)
			if err != nil {
				return l, err
			}
			e.EventId = fmt.Sprintf("%s.%d", stretch, f.Seq)
		}
		l = letter.Letter{Fact: f, ID: e.EventId, Unit: tell(ctx, s, &heads, e, f)}
		if l.Body, err = wire.JSON(e); err == nil && len(l.Body) > longestEvent {
			e.Evaluation = nil
			l.Body, err = wire.JSON(e)
		}
		return l, err
	}
}

// Presence writes that a station with a name has its connection to a broker, or has it no more.
func Presence(name string, online bool) ([]byte, error) {
	return wire.JSON(&gaugedv1.ExitEvent{Kind: wire.ExitEventKind(gauge.EventStation), Station: name, Presence: &gaugedv1.Presence{Online: online}})
}

// tell puts into an event what happened, and returns the unit of what was measured in it. What
// cannot be read is left out.
func tell(ctx context.Context, s *station.Station, heads *JobHeads, e *gaugedv1.ExitEvent, f gauge.Fact) (u gauge.Unit) {
	switch {
	case f.Reading != nil:
		e.Reading = Reading(f)
		return f.Reading.Unit
	case f.Job != nil:
		e.JobChange = heads.Change(ctx, f)
		u = heads.known[f.Job.Job].in
		if f.Job.Kind == job.KindVerdict {
			e.Evaluation = evaluation(ctx, s, f)
		}
	case f.State != nil:
		e.StateChange = StateChange(f)
	case f.Gauge != nil:
		e.GaugeId, u = f.Gauge.Gauge, UnitOf(s, f.Gauge.Gauge)
		if data, err := health.Unmarshal[health.CheckedData](f.Gauge); err == nil && f.Gauge.Kind == health.KindChecked {
			e.Check = wire.Check(data.Record(f), u)
		}
		if data, err := health.Unmarshal[health.VoidedData](f.Gauge); err == nil && f.Gauge.Kind == health.KindVoided {
			e.VoidedCheckSeq = data.Check
			e.Voided = &gaugedv1.VoidedCheck{Time: wire.Time(f.Gauge.Time), By: f.Gauge.By, Reason: data.Reason}
		}
	}
	return u
}

// evaluation is that of a verdict; nil where it cannot be read.
func evaluation(ctx context.Context, s *station.Station, f gauge.Fact) *gaugedv1.Evaluation {
	stored, err := job.Unmarshal[evaluate.Evaluation](f.Job)
	if err != nil {
		return nil
	}
	j, err := s.Job(ctx, f.Job.Job)
	if err != nil {
		return nil
	}
	return wire.Evaluation(j.Procedure, stored)
}
