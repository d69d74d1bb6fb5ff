package job

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

// stepAnswer is an answer of the daemon that has the job after the step.
type stepAnswer interface {
	proto.Message
	GetJob() *pb.Job
}

// stepDone shows what a step did: a sentence, then what is new of the gauges, and where
// the job stands.
func stepDone(a *app.App, answer stepAnswer, format string, args ...any) error {
	return stepWarned(a, answer, newWarnings(answer.GetJob()), format, args...)
}

// stepWarned is stepDone of a step after which somebody new works on the job: all that is
// known of the gauges is shown.
func stepWarned(a *app.App, answer stepAnswer, warnings []*pb.Message, format string, args ...any) error {
	return a.Show(answer, func(w io.Writer) {
		fmt.Fprintf(w, format+"\n\n", args...)
		renderJobAnswer(w, answer.GetJob(), warnings)
	})
}

func jobCaptureCommand(a *app.App, f *jobFlags) *cobra.Command {
	request := &pb.CaptureReadingRequest{}
	cmd := onJob(a, "capture JOB", "Take the gauge's present reading", 1, func(ctx context.Context, d *app.Daemon, id uint64, _ []string) error {
		request.JobId, request.By = id, f.by()
		moving, err := moves(ctx, d, request)
		if err != nil {
			return err
		}
		if moving {
			return captureMotion(a, ctx, d, request)
		}
		answer, err := app.Ask(ctx, d, d.Jobs.CaptureReading, request)
		if err != nil {
			return err
		}
		return stepDone(a, answer, "Taken: %s.", takenText(answer.GetReading()))
	})
	cmd.Flags().StringVar(&request.Measurement, "measurement", "", "the measurement (default: the one that is due)")
	cmd.Flags().StringVar(&request.GaugeId, "gauge", "", "the gauge (default: that of the measurement)")
	a.Complete(cmd, "gauge", a.Names(app.GaugeNames))
	return cmd
}

func takenText(r *pb.Reading) string {
	text := fmt.Sprintf("#%d, %s", r.GetSeq(), show.ReadingText(r.GetValue()))
	if r.GetBy() != "" {
		return text + ", typed in by " + r.GetBy()
	}
	text += " from " + r.GetGaugeId()
	if status := show.StatusText(r.GetStatus()); status != "" {
		text += ", which reports a " + status
	}
	return text
}

func jobEnterCommand(a *app.App, f *jobFlags) *cobra.Command {
	request := &pb.EnterReadingRequest{}
	var mark bool
	cmd := onJob(a, "enter JOB VALUE [UNIT]", "Type in a value or a mark", 4, func(ctx context.Context, d *app.Daemon, id uint64, args []string) error {
		request.JobId, request.By, request.Shown = id, f.by(), strings.Join(args, " ")
		if !mark {
			var err error
			if request.Shown, request.Unit, err = app.TypedReading(request.Shown); err != nil {
				return app.UsageError{Err: err}
			}
		}
		answer, err := app.Ask(ctx, d, d.Jobs.EnterReading, request)
		if err != nil {
			return err
		}
		return stepDone(a, answer, "Stored: %s.", takenText(answer.GetReading()))
	})
	cmd.Example = "  gaugectl job enter 3 0.078 in\n  gaugectl job enter 3 1.98mm --instrument \"depth micrometer 2\"\n  gaugectl job enter 3 0.35 N m\n  gaugectl job enter 3 0.20..0.25 mm\n  gaugectl job enter 3 used"
	cmd.Long = "Type in a value that was read off a gauge without a connection, or a mark.\n\nUnits: " + app.UnitList() + ".\n" +
		"A feeler gauge gives an interval: the thickest blade that goes and the thinnest that does\n" +
		"not. A mark is written as it is, or as unreadable where the procedure allows that."
	cmd.Flags().BoolVar(&mark, "mark", false, "take the value as a mark, although it looks like a number")
	cmd.Args = app.Arguments(2, 4)
	cmd.ValidArgsFunction = app.JobThenUnit(cmd.ValidArgsFunction)
	cmd.Flags().StringVar(&request.Measurement, "measurement", "", "the measurement (default: the one that is due)")
	cmd.Flags().StringVar(&request.Instrument, "instrument", "", "the gauge it was read from, in the shop's words")
	return cmd
}

func jobDiscardCommand(a *app.App, f *jobFlags) *cobra.Command {
	request := &pb.DiscardReadingRequest{}
	cmd := onJob(a, "discard JOB", "Discard a reading; it stays in the history", 1, func(ctx context.Context, d *app.Daemon, id uint64, _ []string) error {
		if request.GetReason() == "" {
			return app.Usagef("say why it does not count: --reason WHY")
		}
		request.JobId, request.By = id, f.by()
		answer, err := app.Ask(ctx, d, d.Jobs.DiscardReading, request)
		if err != nil {
			return err
		}
		return stepDone(a, answer, "%s does not count: %s.", discardedName(request.GetReadingSeq()), request.GetReason())
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
