package bench

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/devices"
)

// recordedFlags say how the gauge on a line sends.
type recordedFlags struct {
	layout, unit, channel string
	poll                  time.Duration
}

func (f *recordedFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&f.layout, "layout", "", "a shipped layout by its name, or a layout file")
	flags.StringVar(&f.unit, "unit", "", "unit of the values, such as mm, in or um; needed when the frames have none")
	flags.StringVar(&f.channel, "channel", "", "channel to ask, where the layout has channels")
	flags.DurationVar(&f.poll, "poll", 500*time.Millisecond, "how often to ask the gauge, where the layout has a request")
}

// to completes a gauge.
func (f *recordedFlags) to(g *devices.Gauge) (err error) {
	if f.layout == "" {
		return app.Usagef("say how the gauge writes: --layout NAME or --layout FILE")
	}
	if g.Layout, err = findLayout(f.layout); err != nil {
		return err
	}
	if g.Unit, err = app.ParseUnitFlag(f.unit); err != nil {
		return err
	}
	g.Channel = f.channel
	if len(g.Layout.RequestTo(f.channel)) > 0 {
		g.Poll = f.poll
	}
	return nil
}

func recordCommand(a *app.App) *cobra.Command {
	var at lineFlags
	var sent recordedFlags
	var remarks string
	var lasts time.Duration
	cmd := &cobra.Command{
		Use:         "record FILE --layout LAYOUT --port PORT",
		Annotations: app.Talks,
		Short:       "Record what a gauge sends, byte by byte, with times",
		Long: "Record everything on a gauge's line until you interrupt it. Unplugging and plugging in\n" +
			"are recorded too. Each frame is shown as it comes.\n" +
			"\n" +
			"Nobody else may have the port open. First stop the daemon, or take the gauge out of\n" +
			"its configuration. gaugectl replay plays the recording.",
		Example: "  gaugectl record caliper.jsonl --layout signed-line --unit mm --port /dev/serial/by-id/usb-...",
		Args:    app.Arguments(1, 1),
	}
	addLine(a, cmd, &at, true)
	flags := cmd.Flags()
	sent.add(flags)
	flags.StringVar(&remarks, "remarks", "", "remarks kept in the file, such as which gauge, who and why")
	flags.DurationVar(&lasts, "for", 0, "end after this time (default: until interrupted)")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		g, err := at.gauge()
		if err != nil {
			return err
		}
		if err := sent.to(&g); err != nil {
			return err
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

// recordLine writes to a file that is not there yet.
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
