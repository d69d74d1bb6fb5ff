package message

import (
	"context"
	"fmt"

	"gauged/internal/evaluate"
	"gauged/internal/exits"
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
func Events(s *station.Station, name string, stretchOf func(ctx context.Context, seq uint64) (string, error)) exits.Write {
	heads := JobHeads{Station: s}
	return func(ctx context.Context, f gauge.Fact) (id string, body []byte, err error) {
		stretch, err := stretchOf(ctx, f.Seq)
		if err != nil {
			return "", nil, err
		}
		e := &gaugedv1.ExitEvent{
			EventId: fmt.Sprintf("%s.%d", stretch, f.Seq), Kind: wire.ExitEventKind(exits.EventOf(f)),
			Station: name, Seq: f.Seq, Time: wire.Time(f.Time()),
		}
		tell(ctx, s, &heads, e, f)
		if body, err = wire.JSON(e); err == nil && len(body) > longestEvent {
			e.Evaluation = nil
			body, err = wire.JSON(e)
		}
		return e.EventId, body, err
	}
}

// tell puts into an event what happened. What cannot be read of it is left out.
func tell(ctx context.Context, s *station.Station, heads *JobHeads, e *gaugedv1.ExitEvent, f gauge.Fact) {
	switch {
	case f.Job != nil:
		e.JobChange = heads.Change(ctx, f)
		if f.Job.Kind == job.KindVerdict {
			e.Evaluation = evaluation(ctx, s, f)
		}
	case f.State != nil:
		e.StateChange = StateChange(f)
	case f.Gauge != nil:
		e.GaugeId = f.Gauge.Gauge
		if data, err := health.Unmarshal[health.CheckedData](f.Gauge); err == nil && f.Gauge.Kind == health.KindChecked {
			e.Check = wire.Check(data.Record(f), UnitOf(s, e.GaugeId))
		}
		if data, err := health.Unmarshal[health.VoidedData](f.Gauge); err == nil && f.Gauge.Kind == health.KindVoided {
			e.VoidedCheckSeq = data.Check
			e.Voided = &gaugedv1.VoidedCheck{Time: wire.Time(f.Gauge.Time), By: f.Gauge.By, Reason: data.Reason}
		}
	}
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
