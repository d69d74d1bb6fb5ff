package bench

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/devices"
	"gauged/internal/simulate"

	"github.com/spf13/cobra"
)

func replayCommand(a *app.App) *cobra.Command {
	var link string
	cmd := &cobra.Command{
		Use:         "replay FILE --at LINK",
		Annotations: app.Talks,
		Short:       "Play a recording, as if the gauge were there",
		Long: "Play a recording into a pseudo-terminal, at its own speed. LINK is the port that the\n" +
			"station's configuration names. It begins when a program opens the port. It waits for\n" +
			"each request that was recorded.",
		Example: "  gaugectl replay caliper.jsonl --at /tmp/gauges/caliper",
		Args:    app.Arguments(1, 1),
	}
	cmd.Flags().StringVar(&link, "at", "", "the port that the station's configuration names")
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
