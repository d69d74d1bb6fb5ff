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

// JobHeads remembers of what unit and procedure jobs are, and their labels, for one watcher.
type JobHeads struct {
	Station *station.Station
	known   map[uint64]jobHead
}

type jobHead struct {
	unit, procedure string
	labels          job.Labels
	in              gauge.Unit // of what is measured
}

// mostHeads bounds what is remembered.
const mostHeads = 256

// putRight reports whether a job is looked at anew for a step of a kind: what was known may have
// been put right by it, or, before a verdict, by a step that its watcher did not ask for.
func putRight(kind string) bool {
	return kind == job.KindSerial || kind == job.KindLabelled || kind == job.KindVerdict
}

// Change is a fact of a job as its watchers get it. That of a job which cannot be read has no unit.
func (h *JobHeads) Change(ctx context.Context, f gauge.Fact) *gaugedv1.JobChange {
	head, known := h.known[f.Job.Job]
	if !known || putRight(f.Job.Kind) {
		if j, err := h.Station.Job(ctx, f.Job.Job); err == nil {
			head = jobHead{j.UnitSerial, j.Procedure.ID, j.Labels, j.Procedure.Unit}
		}
		if h.known == nil || len(h.known) >= mostHeads {
			h.known = map[uint64]jobHead{}
		}
		h.known[f.Job.Job] = head
	}
	change := &gaugedv1.JobChange{
		Seq: f.Seq, JobId: f.Job.Job, Time: timestamppb.New(f.Job.Time), Kind: wire.JobChangeKind(f.Job.Kind), By: f.Job.By, UnitSerial: head.unit, ProcedureId: head.procedure, Labels: head.labels,
	}
	if outcome, is := job.Verdict(f); is {
		change.Outcome = wire.Outcome(outcome)
	}
	return change
}
