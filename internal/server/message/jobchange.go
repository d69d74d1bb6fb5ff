package message

import (
	"context"

	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/station"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// JobHeads remembers of what unit and procedure jobs are, for one watcher.
type JobHeads struct {
	Station *station.Station
	known   map[uint64]jobHead
}

type jobHead struct{ unit, procedure string }

// mostHeads bounds what is remembered.
const mostHeads = 256

// Change is a fact of a job as its watchers get it. That of a job which cannot be read has no unit.
func (h *JobHeads) Change(ctx context.Context, f gauge.Fact) *gaugedv1.JobChange {
	head, known := h.known[f.Job.Job]
	if !known {
		if j, err := h.Station.Job(ctx, f.Job.Job); err == nil {
			head = jobHead{j.UnitSerial, j.Procedure.ID}
		}
		if h.known == nil || len(h.known) >= mostHeads {
			h.known = map[uint64]jobHead{}
		}
		h.known[f.Job.Job] = head
	}
	change := &gaugedv1.JobChange{
		Seq: f.Seq, JobId: f.Job.Job, Time: timestamppb.New(f.Job.Time), Kind: wire.JobChangeKind(f.Job.Kind), By: f.Job.By, UnitSerial: head.unit, ProcedureId: head.procedure,
	}
	if outcome, is := job.Verdict(f); is {
		change.Outcome = wire.Outcome(outcome)
	}
	return change
}
