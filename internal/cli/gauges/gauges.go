// Package gauges has the commands that show gauges and follow them.
package gauges

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// Commands are those that show gauges.
func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{gaugesCommand(a), a.Group("gauge", "Show one gauge", gaugeShowCommand(a)), watchCommand(a)}
}

func gaugesCommand(a *app.App) *cobra.Command {
	l := &app.List{}
	cmd := &cobra.Command{Use: "gauges", Short: "Show all gauges with state and last reading", Args: app.Lists("gauge show")}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
		return app.ShowList(ctx, a, d, cmd, l, d.Gauges.ListGauges, &pb.ListGaugesRequest{},
			func(w io.Writer, answer *pb.ListGaugesResponse) {
				for _, m := range answer.GetTroubles() {
					fmt.Fprintf(w, "! %s\n\n", show.Told(m))
				}
				renderGauges(w, answer.GetGauges())
			})
	})
	l.Flags(cmd, false)
	return cmd
}

func gaugeShowCommand(a *app.App) *cobra.Command {
	return &cobra.Command{
		Use:               "show GAUGE",
		Short:             "Show a gauge with state and last reading",
		Args:              app.Arguments(1, 1),
		ValidArgsFunction: app.First(a.Names(app.GaugeNames)),
		RunE: a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
			answer, err := app.Ask(ctx, d, d.Gauges.GetGauge, &pb.GetGaugeRequest{GaugeId: args[0]})
			if err != nil {
				return err
			}
			return a.Show(answer, func(w io.Writer) { renderGauges(w, []*pb.Gauge{answer.GetGauge()}) })
		}),
	}
}

// stateText is how a gauge is; one without a connection is read, and is never live.
func stateText(g *pb.Gauge) string {
	if g.GetMode() == show.ModeTyped {
		return show.Say("start.by-eye")
	}
	return show.StateText(g.GetState())
}

func renderGauges(w io.Writer, gauges []*pb.Gauge) {
	if len(gauges) == 0 {
		fmt.Fprintln(w, show.Say("gauges.none"))
		return
	}
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "GAUGE\tSTATE\tLAST READING\tTAKEN\tREADINGS\tREJECTED\tMODE\tCONNECTION\tTITLE")
		for _, g := range gauges {
			fmt.Fprintf(tab, "%s\t%s\t%s\t%s\t%d\t%d\t%s\t%s\t%s\n", g.GetId(), stateText(g),
				show.ReadingText(g.GetLastReading().GetValue()), show.TimeText(g.GetLastReading().GetTime()),
				g.GetReadingCount(), rejectedFrames(g), show.OrDash(string(wire.FromMode(g.GetMode()))), g.GetConnection(), g.GetTitle())
		}
	})
	for _, g := range gauges {
		if g.GetStateReason() != nil {
			fmt.Fprintf(w, "\n%s: %s since %s: %s\n", g.GetId(), show.StateText(g.GetState()), show.TimeText(g.GetStateSinceTime()), show.Told(g.GetStateReason()))
		}
		if n := g.GetGarbledCount(); n > 0 {
			fmt.Fprintf(w, "\n%s: %s Reason: %s (%s). Look at its cable, its battery and its unit.\n",
				g.GetId(), show.Say("gauge.garbled", n), show.Named("reject", string(wire.FromRejectReason(g.GetGarbledReason()))), show.Told(g.GetGarbledDetail()))
		}
		if status := show.StatusText(g.GetLastReading().GetStatus()); status != "" {
			fmt.Fprintf(w, "\n%s reports a %s.\n", g.GetId(), status)
		}
	}
}

func rejectedFrames(g *pb.Gauge) uint64 {
	var n uint64
	for _, r := range g.GetRejected() {
		n += r.GetFrames()
	}
	return n
}
