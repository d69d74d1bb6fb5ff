package gauges

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"gauged/client"
	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

func watchCommand(a *app.App) *cobra.Command {
	var after, count uint64
	cmd := &cobra.Command{
		Use:   "watch [GAUGE...]",
		Short: "Show readings and states as they come",
		Long: "Show readings and states of the gauges as they come, each after it was stored.\n" +
			"Interrupt it to end it.\n" +
			"\n" +
			"If the connection is lost, watch says so and waits for the daemon. It goes on after\n" +
			"the last entry shown: nothing is left out or shown twice. With --output json every\n" +
			"event is one object on one line, with csv one row.",
		ValidArgsFunction: a.Names(app.GaugeNames),
	}
	cmd.Flags().Uint64Var(&after, "after", 0, "begin after this entry of the history (default: now)")
	cmd.Flags().Uint64Var(&count, "count", 0, "end after this number of readings (default: never)")
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, gauges []string) error {
		w := &watch{app: a, d: d, out: a.NewEntries(&pb.WatchReadingsResponse{}), request: &pb.WatchReadingsRequest{GaugeIds: gauges}, count: count}
		if cmd.Flags().Changed("after") {
			w.request.AfterSeq = &after
		}
		return app.EndOfWatch(ctx, w.run(ctx))
	})
	return cmd
}

// watch follows the readings.
type watch struct {
	app     *app.App
	d       *app.Daemon
	out     *app.Entries
	request *pb.WatchReadingsRequest
	count   uint64 // readings after which it ends; 0 is never
	shown   uint64
	after   uint64 // number of the last entry
}

func (w *watch) run(ctx context.Context) error {
	return app.Follow(w.d, w.d.WatchReadings(ctx, w.request, client.Outage{
		Lost: func(err error) {
			fmt.Fprintf(w.app.Stderr, "gaugectl: %s; trying again\n", app.LossText(w.d, w.d.Explain(err)))
		},
		Back: func() { fmt.Fprintf(w.app.Stderr, "gaugectl: the daemon is back; going on after entry %d\n", w.after) },
	}), w.event)
}

// event shows one event and counts the readings.
func (w *watch) event(e *pb.WatchReadingsResponse) error {
	w.after = max(w.after, e.GetStart().GetAfterSeq(), e.GetReading().GetSeq(), e.GetState().GetSeq(), e.GetGap().GetLastSeq())
	if err := w.show(e); err != nil {
		return err
	}
	if e.GetReading() != nil {
		w.shown++
	}
	if w.count > 0 && w.shown == w.count {
		return app.ErrEnough
	}
	return nil
}

func (w *watch) show(e *pb.WatchReadingsResponse) error {
	return w.out.Write(e, func(to io.Writer) { row(to, e) })
}

// row writes one event as a row of a list.
func row(to io.Writer, e *pb.WatchReadingsResponse) {
	switch event := e.GetEvent().(type) {
	case *pb.WatchReadingsResponse_Reading:
		show.RenderReadingRow(to, event.Reading)
	case *pb.WatchReadingsResponse_State:
		s := event.State
		show.RenderRow(to, s.GetSeq(), show.TimeText(s.GetTime()), s.GetGaugeId(), show.StateText(s.GetState()), show.Told(s.GetReason()))
	case *pb.WatchReadingsResponse_Gap:
		fmt.Fprintf(to, "entries %d to %d were passed over; see gaugectl history readings --after %d\n",
			event.Gap.GetFirstSeq(), event.Gap.GetLastSeq(), event.Gap.GetFirstSeq()-1)
	case *pb.WatchReadingsResponse_Lag:
		fmt.Fprintf(to, "far behind: after entry %d of %d\n", event.Lag.GetAfterSeq(), event.Lag.GetNewestSeq())
	case *pb.WatchReadingsResponse_Start:
		fmt.Fprintf(to, "watching after entry %d\n", event.Start.GetAfterSeq())
	}
}
