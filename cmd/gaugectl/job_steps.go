package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"

	pb "gauged/api/gauged/v1"
)

// stepAnswer is an answer of the daemon that has the job after the step.
type stepAnswer interface {
	proto.Message
	GetJob() *pb.Job
}

// done shows what a step did: a sentence, then where the job stands.
func (a *app) done(answer stepAnswer, format string, args ...any) error {
	return a.show(answer, func(w io.Writer) {
		fmt.Fprintf(w, format+"\n\n", args...)
		renderJobAnswer(w, answer.GetJob())
	})
}

func (a *app) jobCaptureCommand(f *jobFlags) *cobra.Command {
	request := &pb.CaptureReadingRequest{}
	cmd := a.onJob("capture JOB", "Take the present reading of the gauge", 1, func(ctx context.Context, d *daemon, id uint64, _ []string) error {
		request.JobId, request.By = id, f.by()
		moving, err := moves(ctx, d, request)
		if err != nil {
			return err
		}
		if moving {
			return a.captureMotion(ctx, d, request)
		}
		answer, err := ask(ctx, d, d.jobs.CaptureReading, request)
		if err != nil {
			return err
		}
		return a.done(answer, "Taken: %s.", takenText(answer.GetReading()))
	})
	cmd.Flags().StringVar(&request.Measurement, "measurement", "", "measurement that it is for (default: the one that is due)")
	cmd.Flags().StringVar(&request.GaugeId, "gauge", "", "gauge that it must come from (default: the gauge of the measurement)")
	a.complete(cmd, "gauge", a.names(gaugeNames))
	return cmd
}

func takenText(r *pb.Reading) string {
	text := fmt.Sprintf("#%d, %s", r.GetSeq(), readingText(r.GetValue()))
	if r.GetEnteredBy() != "" {
		return text + ", typed in by " + r.GetEnteredBy()
	}
	text += " from " + r.GetGaugeId()
	if status := statusText(r.GetStatus()); status != "" {
		text += ", which reports a " + status
	}
	return text
}

func (a *app) jobEnterCommand(f *jobFlags) *cobra.Command {
	request := &pb.EnterReadingRequest{}
	var mark bool
	cmd := a.onJob("enter JOB VALUE [UNIT]", "Type in a value read off a gauge without a connection, or a mark", 4, func(ctx context.Context, d *daemon, id uint64, args []string) error {
		request.JobId, request.By, request.Shown = id, f.by(), strings.Join(args, " ")
		if !mark {
			var err error
			if request.Shown, request.Unit, err = typedReading(request.Shown); err != nil {
				return usageError{err}
			}
		}
		answer, err := ask(ctx, d, d.jobs.EnterReading, request)
		if err != nil {
			return err
		}
		return a.done(answer, "Stored: %s.", takenText(answer.GetReading()))
	})
	cmd.Example = "  gaugectl job enter 3 0.078 in\n  gaugectl job enter 3 1.98mm --instrument \"depth micrometer 2\"\n  gaugectl job enter 3 0.35 N m\n  gaugectl job enter 3 0.20..0.25 mm\n  gaugectl job enter 3 used"
	cmd.Long = cmd.Short + ".\n\nUnits: " + unitList() + ".\nA feeler gauge gives an interval: the thickest blade that goes and the thinnest that does\nnot. A mark is written as it is, or as unreadable where the procedure allows that."
	cmd.Flags().BoolVar(&mark, "mark", false, "the value is a mark, although it looks like a number")
	cmd.Args = arguments(2, 4)
	cmd.ValidArgsFunction = jobThenUnit(cmd.ValidArgsFunction)
	cmd.Flags().StringVar(&request.Measurement, "measurement", "", "measurement that it is for (default: the one that is due)")
	cmd.Flags().StringVar(&request.Instrument, "instrument", "", "which gauge it was read from, in the shop's words")
	return cmd
}

func (a *app) jobDiscardCommand(f *jobFlags) *cobra.Command {
	request := &pb.DiscardReadingRequest{}
	cmd := a.onJob("discard JOB", "Mark a reading as not counting; it stays in the history", 1, func(ctx context.Context, d *daemon, id uint64, _ []string) error {
		if request.GetReason() == "" {
			return usagef("say why it does not count: --reason WHY")
		}
		request.JobId, request.By = id, f.by()
		answer, err := ask(ctx, d, d.jobs.DiscardReading, request)
		if err != nil {
			return err
		}
		return a.done(answer, "%s does not count: %s.", discardedName(request.GetReadingSeq()), request.GetReason())
	})
	cmd.Flags().Uint64Var(&request.ReadingSeq, "reading", 0, "number of the reading in the history (default: the last one taken)")
	cmd.Flags().StringVar(&request.Reason, "reason", "", "why it does not count")
	return cmd
}

func discardedName(seq uint64) string {
	if seq == 0 {
		return "The last reading"
	}
	return fmt.Sprintf("Reading #%d", seq)
}
