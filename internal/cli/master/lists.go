package master

import (
	"context"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"

	pb "gauged/api/gauged/v1"
)

// MastersCommand shows the masters alone.
func MastersCommand(a *app.App) *cobra.Command {
	l := &app.List{}
	cmd := &cobra.Command{Use: "masters", Short: "Show the masters, and when their own calibration is due", Args: app.Arguments(0, 0)}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
		return app.ShowList(ctx, a, d, cmd, l, d.Health.ListMasters, &pb.ListMastersRequest{},
			func(w io.Writer, answer *pb.ListMastersResponse) { renderMasters(w, answer.GetMasters()) })
	})
	l.Flags(cmd, false)
	return cmd
}

// ChecksCommand lists the checks of a gauge, or the last one of every gauge.
func ChecksCommand(a *app.App) *cobra.Command {
	l := &app.List{}
	var verdict string
	cmd := &cobra.Command{
		Use:   "checks [GAUGE]",
		Short: "Show the checks of a gauge, or which gauges may be used",
		Long: "With GAUGE, show its checks, the changes of its standing, and how long until the next\n" +
			"check. JSON and CSV have the checks; the changes are those of gaugectl history\n" +
			"standings.\n" +
			"\n" +
			"Without GAUGE, show which gauges may be used: the standing and the last check of each.\n" +
			"A table shows the masters too; as JSON and CSV they are those of gaugectl masters.",
		Example:           "  gaugectl checks\n  gaugectl checks dial --verdict fail --since 90d",
		Args:              app.Arguments(0, 1),
		ValidArgsFunction: app.First(a.Names(app.GaugeNames)),
	}
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if len(args) == 1 {
			request := &pb.ListChecksRequest{GaugeId: args[0], Verdict: pb.CheckVerdict(pb.CheckVerdict_value["CHECK_VERDICT_"+strings.ToUpper(strings.ReplaceAll(verdict, "-", "_"))])}
			if verdict != "" && request.GetVerdict() == 0 {
				return app.NotOneOf("--verdict", verdict, verdicts)
			}
			return a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
				return checksOf(a, ctx, d, cmd, l, request)
			})(cmd, args)
		}
		for _, flag := range []string{"verdict", "since", "until"} {
			if cmd.Flags().Changed(flag) {
				return fmt.Errorf("--%s chooses among the checks of one gauge: name the gauge", flag)
			}
		}
		return a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error { return everyGauge(a, ctx, d, cmd, l) })(cmd, args)
	}
	l.Flags(cmd, true)
	cmd.Flags().StringVar(&verdict, "verdict", "", "only checks that found this: "+strings.Join(verdicts, ", "))
	a.Complete(cmd, "verdict", app.Fixed(verdicts...))
	return cmd
}

// verdicts are what a check can find, as the command line says it.
var verdicts = []string{"pass", "fail", "undecided", "no-limit"}

// everyGauge shows the standing and the last check of each gauge, and in a table the masters.
func everyGauge(a *app.App, ctx context.Context, d *app.Daemon, cmd *cobra.Command, l *app.List) (err error) {
	masters := &pb.ListMastersResponse{}
	if a.Output == app.OutputTable {
		if masters, err = app.All(ctx, d, d.Health.ListMasters, &pb.ListMastersRequest{}); err != nil {
			return err
		}
	}
	return app.ShowList(ctx, a, d, cmd, l, d.Health.ListHealth, &pb.ListHealthRequest{}, func(w io.Writer, answer *pb.ListHealthResponse) {
		renderHealth(w, answer)
		fmt.Fprintln(w)
		renderMasters(w, masters.GetMasters())
	})
}

// checksOf shows the checks of a gauge, and in a table its standings and the advice for it.
func checksOf(a *app.App, ctx context.Context, d *app.Daemon, cmd *cobra.Command, l *app.List, request *pb.ListChecksRequest) (err error) {
	standings, health := &pb.ListStandingsResponse{}, &pb.GetHealthResponse{}
	if a.Output == app.OutputTable {
		changes := &pb.ListStandingsRequest{GaugeId: request.GetGaugeId()}
		if err = l.Times(changes, time.Now()); err != nil {
			return err
		}
		if standings, err = app.All(ctx, d, d.Health.ListStandings, changes); err != nil {
			return err
		}
		if health, err = app.Ask(ctx, d, d.Health.GetHealth, &pb.GetHealthRequest{GaugeId: request.GetGaugeId()}); err != nil {
			return err
		}
	}
	return app.ShowList(ctx, a, d, cmd, l, d.Health.ListChecks, request, func(w io.Writer, answer *pb.ListChecksResponse) {
		renderChecks(w, answer.GetChecks())
		renderStandings(w, standings.GetChanges())
		renderAdvice(w, health.GetGauge())
	})
}
