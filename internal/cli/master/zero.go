package master

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/cli/take"
	"gauged/internal/gauge"

	pb "gauged/api/gauged/v1"
)

func masterZeroCommand(a *app.App) *cobra.Command {
	request := &pb.RecordZeroReturnRequest{}
	var value string
	cmd := &cobra.Command{
		Use:   "zero GAUGE",
		Short: "Record a zero return after a job",
		Long: "Record what a gauge shows at its zero: faces closed, or on the plane on which it was\n" +
			"set. A gauge that sends by itself gives its present reading, one with a data button\n" +
			"its next press. For one without a connection, type the value. --reading takes one of\n" +
			"the history.\n" +
			"\n" +
			"The station's configuration says how near to zero it must be. It counts for drift and\n" +
			"charts, but replaces no check that is due. Beyond the maximum permissible error the\n" +
			"gauge is suspect. The exit code is 4 when the gauge does not pass.",
		Example: "  gaugectl master zero dial --job 17\n  gaugectl master zero micrometer --value '0.001 mm'",
		Args:    app.Arguments(1, 1),
	}
	cmd.ValidArgsFunction = app.First(a.Names(app.GaugeNames))
	flags := cmd.Flags()
	flags.Uint64Var(&request.JobId, "job", 0, "the job before it")
	flags.Uint64Var(&request.ReadingSeq, "reading", 0, "number of a reading in the history")
	flags.StringVar(&value, "value", "", "what the gauge shows, with its unit")
	app.ByFlag(flags, &request.By, "who makes it")
	flags.StringVar(&request.Remark, "remark", "", "a remark")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		request.GaugeId, request.By = args[0], a.By(request.By)
		if value != "" {
			digits, unit, err := app.TypedValue(value, gauge.KindLength)
			if err != nil {
				return app.Usagef("--value: %w", err)
			}
			request.Typed = &pb.TypedReading{Shown: digits, Unit: unit}
		}
		return a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error { return recordZero(a, ctx, d, request) })(cmd, args)
	}
	return cmd
}

func recordZero(a *app.App, ctx context.Context, d *app.Daemon, request *pb.RecordZeroReturnRequest) error {
	if request.ReadingSeq == 0 && request.Typed == nil {
		if err := waitForZero(a, ctx, d, request); err != nil {
			return err
		}
	}
	answer, err := app.Ask(ctx, d, d.Health.RecordZeroReturn, request)
	if err != nil {
		return err
	}
	if err := a.Show(answer, func(w io.Writer) { renderCheck(w, answer.GetCheck(), answer.GetGauge()) }); err != nil {
		return err
	}
	return notPassed("zero return", request.GetGaugeId(), answer.GetCheck().GetFound().GetVerdict())
}

// waitForZero waits for the press of a data button, or for a value that is typed.
func waitForZero(a *app.App, ctx context.Context, d *app.Daemon, request *pb.RecordZeroReturnRequest) error {
	switch take.Mode(d, ctx, request.GetGaugeId()) {
	case show.ModeButton:
		fmt.Fprintf(a.Stderr, "Set %s to its zero and press its button.\n", request.GetGaugeId())
	case show.ModeTyped:
		fmt.Fprintf(a.Stderr, "Set %s to its zero and type what it shows, with its unit.\n", request.GetGaugeId())
	default:
		return nil
	}
	taker, stop, err := take.New(a, ctx, d, request.GetGaugeId())
	if err != nil {
		return err
	}
	defer stop()
	r, err := taker.One(ctx)
	if err != nil {
		return err
	}
	if request.Typed, request.ReadingSeq = r.Typed, r.Seq; r.Typed == nil {
		fmt.Fprintf(a.Stderr, "  %s\n", show.ReadingText(r.Value))
	}
	return nil
}

// notPassed is the error that ends a command whose check, shown before, did not pass.
func notPassed(what, gaugeID string, v pb.CheckVerdict) error {
	if v == pb.CheckVerdict_CHECK_VERDICT_FAIL || v == pb.CheckVerdict_CHECK_VERDICT_UNDECIDED {
		return app.NotPassedf("the %s of %s: %s", what, gaugeID, checkVerdictText(v))
	}
	return nil
}
