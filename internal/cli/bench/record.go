package bench

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/devices"
	"gauged/internal/devices/simulate"
)

func recordCommand(a *app.App) *cobra.Command {
	var at lineFlags
	var layout, unit, channel, remarks string
	var poll, lasts time.Duration
	cmd := &cobra.Command{
		Use:         "record FILE --layout LAYOUT --port PORT",
		Annotations: app.Talks,
		Short:       "Record what a gauge sends, byte by byte with its times",
		Long: "Record what goes over a gauge's line, through unplugs and replugs, until it is\n" +
			"interrupted. Each frame is shown as it comes. Nobody else may have the port open; stop\n" +
			"the daemon, or take the gauge out of its configuration, first.\n\n" +
			"gaugectl replay plays a recording again.",
		Example: "  gaugectl record caliper.jsonl --layout signed-line --unit mm --port /dev/serial/by-id/usb-...",
		Args:    app.Arguments(1, 1),
	}
	addLine(a, cmd, &at, true)
	flags := cmd.Flags()
	flags.StringVar(&layout, "layout", "", "name of a shipped layout, or a layout file")
	flags.StringVar(&unit, "unit", "", "unit of the gauge's definition; needed when the layout states none")
	flags.StringVar(&remarks, "remarks", "", "which gauge, who, why: kept in the file")
	flags.StringVar(&channel, "channel", "", "which channel is asked, where the layout asks for one")
	flags.DurationVar(&poll, "poll", 500*time.Millisecond, "how often a gauge is asked whose layout has a request")
	flags.DurationVar(&lasts, "for", 0, "end after this time (default: when interrupted)")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		g, err := at.gauge()
		if err != nil {
			return err
		}
		if layout == "" {
			return app.Usagef("say how the gauge writes: --layout NAME or --layout FILE")
		}
		if g.Layout, err = findLayout(layout); err != nil {
			return err
		}
		if g.Unit, err = app.ParseUnitFlag(unit); err != nil {
			return err
		}
		g.Channel = channel
		if len(g.Layout.RequestTo(channel)) > 0 {
			g.Poll = poll
		}
		a.Running = true
		ctx := cmd.Context()
		if lasts > 0 {
			var cancel context.CancelFunc
			ctx, cancel = context.WithTimeout(ctx, lasts)
			defer cancel()
		}
		return recordLine(a, ctx, g, args[0], remarks)
	}
	return cmd
}

// record writes to a file that is not there yet.
func recordLine(a *app.App, ctx context.Context, g devices.Gauge, name, remarks string) (err error) {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	w, err := devices.NewRecordingWriter(f, devices.RecordingHeader{Layout: g.Layout.Name, Unit: g.Unit, Remarks: remarks}, time.Now())
	if err != nil {
		return err
	}
	d := &decoding{app: a}
	scanner := devices.NewScanner(g.Layout, g.Unit, d.outcome)
	say := func(text string) { fmt.Fprintln(a.Stderr, text) }
	if err := devices.Record(ctx, g, w, scanner.FeedTimed, say); err != nil {
		return err
	}
	scanner.Quiet()
	say(fmt.Sprintf("%s and %s are in %s.", show.Plural(d.values, "value"), show.Plural(d.rejected, "rejected frame"), name))
	return d.failed
}

func replayCommand(a *app.App) *cobra.Command {
	var link string
	cmd := &cobra.Command{
		Use:         "replay FILE --at LINK",
		Annotations: app.Talks,
		Short:       "Play a recording into a pseudo-terminal, as if the gauge were there",
		Long: "Play a recording in its own time into a pseudo-terminal that is reached through LINK.\n" +
			"It begins when a program has opened the port, and waits for the requests that were\n" +
			"recorded.",
		Example: "  gaugectl replay caliper.jsonl --at /tmp/gauges/caliper",
		Args:    app.Arguments(1, 1),
	}
	cmd.Flags().StringVar(&link, "at", "", "path of the link that the station's configuration names as the port")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if link == "" {
			return app.Usagef("say where the gauge is to be: --at LINK")
		}
		a.Running = true
		return replayRecording(a, cmd.Context(), args[0], link)
	}
	return cmd
}

func replayRecording(a *app.App, ctx context.Context, name, link string) (err error) {
	f, err := os.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	rec, err := devices.ReadRecording(name, f)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(link), 0o755); err != nil {
		return err
	}
	line := simulate.NewLine(link)
	if err := line.Plug(); err != nil {
		return err
	}
	defer func() { err = errors.Join(err, line.Unplug()) }()
	fmt.Fprintf(a.Stderr, "Waiting until a program opens %s.\n", link)
	if err := simulate.Replay(ctx, rec, line, simulate.AsRecorded, opened(line)); err != nil {
		return app.EndOfWatch(ctx, err)
	}
	fmt.Fprintf(a.Stderr, "Played %s.\n", show.Plural(len(rec.Entries), "chunk"))
	return drained(ctx)
}

// ready is how long a program that has opened the port may take to set the line
// and to drop what came before.
const ready = 200 * time.Millisecond

// opened waits until a program has the line open.
func opened(line *simulate.Line) func(context.Context) error {
	return func(ctx context.Context) error {
		for !line.Listening() {
			if err := app.Sleep(ctx, 10*time.Millisecond); err != nil {
				return err
			}
		}
		return app.Sleep(ctx, ready)
	}
}

// drained gives the program the time to read the last bytes before the line goes.
func drained(ctx context.Context) error {
	return app.EndOfWatch(ctx, app.Sleep(ctx, 500*time.Millisecond))
}
