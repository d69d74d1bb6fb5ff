package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	pb "gauged/api/gauged/v1"
)

func (a *app) watchCommand() *cobra.Command {
	var after, count uint64
	cmd := &cobra.Command{
		Use:   "watch [GAUGE...]",
		Short: "Show readings and states as they come",
		Long: "Show readings and states of the gauges as they come, each after it was stored.\n\n" +
			"When the connection is lost, watch says so, waits for the daemon and goes on with\n" +
			"the entry after the last one shown: nothing is left out or shown twice. Interrupt\n" +
			"it to end it. With --output json every event is one object on one line.",
		ValidArgsFunction: a.names(gaugeNames),
	}
	cmd.Flags().Uint64Var(&after, "after", 0, "begin with the entry after this number of the history (default: what comes next)")
	cmd.Flags().Uint64Var(&count, "count", 0, "end after so many readings (default: never)")
	cmd.RunE = a.withDaemon(func(ctx context.Context, d *daemon, gauges []string) error {
		w := &watch{app: a, d: d, request: &pb.WatchReadingsRequest{GaugeIds: gauges}, count: count}
		if cmd.Flags().Changed("after") {
			w.request.AfterSeq = &after
		}
		return endOfWatch(ctx, w.run(ctx))
	})
	return cmd
}

// watch follows the readings. Its request always says where to go on.
type watch struct {
	app     *app
	d       *daemon
	request *pb.WatchReadingsRequest
	count   uint64 // readings after which it ends; 0 is never
	shown   uint64
}

func (w *watch) run(ctx context.Context) error {
	return follower[pb.WatchReadingsResponse]{
		open: func(ctx context.Context) (grpc.ServerStreamingClient[pb.WatchReadingsResponse], error) {
			return w.d.gauges.WatchReadings(ctx, w.request)
		},
		each: w.event,
		lost: func(err error) {
			fmt.Fprintf(w.app.stderr, "gaugectl: %s; trying again\n", lossText(w.d, err))
		},
		back: func() {
			fmt.Fprintf(w.app.stderr, "gaugectl: the daemon is back; going on after entry %d\n", w.request.GetAfterSeq())
		},
	}.follow(ctx, w.d)
}

// lossText says in a few words why a connection was lost.
func lossText(d *daemon, err error) string {
	var unreachable *unreachableError
	if errors.As(err, &unreachable) {
		return fmt.Sprintf("lost the daemon at %s (%s)", d.address, unreachable.cause)
	}
	return fmt.Sprintf("lost the daemon at %s", d.address)
}

// event shows one event and remembers where the watch stands.
func (w *watch) event(e *pb.WatchReadingsResponse) error {
	seq := max(e.GetStart().GetAfterSeq(), e.GetReading().GetSeq(), e.GetState().GetSeq(), e.GetGap().GetLastSeq())
	if w.request.AfterSeq == nil || seq > w.request.GetAfterSeq() {
		w.request.AfterSeq = &seq
	}
	if err := w.show(e); err != nil {
		return err
	}
	if e.GetReading() != nil {
		w.shown++
	}
	if w.count > 0 && w.shown == w.count {
		return errEnough
	}
	return nil
}

func (w *watch) show(e *pb.WatchReadingsResponse) error {
	if w.app.output == outputJSON {
		return writeJSON(w.app.stdout, e, false)
	}
	switch event := e.GetEvent().(type) {
	case *pb.WatchReadingsResponse_Reading:
		renderReadingRow(w.app.stdout, event.Reading)
	case *pb.WatchReadingsResponse_State:
		s := event.State
		renderRow(w.app.stdout, s.GetSeq(), timeText(s.GetTime()), s.GetGaugeId(), stateText(s.GetState()), s.GetReason())
	case *pb.WatchReadingsResponse_Gap:
		fmt.Fprintf(w.app.stdout, "entries %d to %d were passed over; see gaugectl history readings --after %d\n",
			event.Gap.GetFirstSeq(), event.Gap.GetLastSeq(), event.Gap.GetFirstSeq()-1)
	case *pb.WatchReadingsResponse_Start:
		fmt.Fprintf(w.app.stdout, "watching after entry %d\n", event.Start.GetAfterSeq())
	}
	return nil
}

// renderReadingRow writes a reading as one row of a list.
func renderReadingRow(w io.Writer, r *pb.Reading) {
	note := statusText(r.GetStatus())
	if r.GetEnteredBy() != "" {
		note = join(note, "typed in by "+r.GetEnteredBy())
	}
	if r.GetSource() != "" {
		note = join(note, fmt.Sprintf("from %s, number %d there", r.GetSource(), r.GetSourceSeq()))
	}
	renderRow(w, r.GetSeq(), timeText(r.GetTime()), r.GetGaugeId(), lengthText(r.GetValue()), note)
}

// The columns of a list of readings, states or rejected frames. They have
// fixed widths, because such a list may have no end.
const rowColumns = "%8v  %-24s  %-14s  %14s  %s"

// renderHead writes the titles of the columns.
func renderHead(w io.Writer, value string) {
	fmt.Fprintf(w, rowColumns+"\n", "SEQ", "TIME", "GAUGE", value, "NOTE")
}

func renderRow(w io.Writer, seq uint64, time, gauge, value, note string) {
	fmt.Fprintln(w, strings.TrimRight(fmt.Sprintf(rowColumns, seq, time, gauge, value, note), " "))
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + ", " + b
}
