// Package drift has the command that reviews the errors of gauges from check to check.
package drift

import (
	"context"
	"fmt"
	"io"
	"os"
	"time"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/health/drift"
)

const driftLong = "Say from the checks of one gauge how fast its error moves and when it reaches the\n" +
	"maximum permissible error, whether it jumped between two checks, what control charts\n" +
	"point at, and how long the next interval may be. Nothing is stored, and no job's verdict\n" +
	"depends on it; docs/drift.md explains each number. With --gauge the checks are those that\n" +
	"the daemon has of a gauge, and the limit is that of its last check; else no daemon is\n" +
	"needed.\n\n" +
	"The checks are a CSV file with a line of column names. Needed are\n" +
	"  time         a date such as 2026-03-31, RFC 3339, or a number; in order at each master\n" +
	"  error        the error as found: indication less true value\n" +
	"or, in the place of error, reading and reference; and known are also\n" +
	"  master       at which the check was made: each has its own trend, and the worst decides\n" +
	"  uncertainty  standard uncertainty of the error, of what is independent from check to\n" +
	"               check; counts when every check has one\n" +
	"  k            its coverage factor, where it is an expanded uncertainty\n" +
	"  unit         unit of all lengths of the line, where it is not that of --unit\n" +
	"  shared       standard uncertainty of what all checks at the master share: its certificate\n" +
	"  verdict      pass, fail or undecided: one that did not pass extends no interval\n" +
	"  left         the error as left, after an adjustment\n" +
	"  spread       standard deviation of the repeats within the check\n" +
	"  repeats      how many they are\n" +
	"  uses         all uses of the gauge so far\n" +
	"Lines that begin with # are remarks; a cell may be empty where nothing is known."

// Command reviews how the error of gauges moves from check to check.
func Command(a *app.App) *cobra.Command {
	var f driftFlags
	cmd := &cobra.Command{
		Use:   "drift CHECKS.csv | --gauge GAUGE",
		Short: "Say from a gauge's checks how its error moves and when to check again",
		Long:  driftLong,
		Example: "  gaugectl drift depth-1.csv --mpe 8 --unit um\n" +
			"  gaugectl drift depth-1.csv --column error=deviation --svg depth-1.svg\n" +
			"  gaugectl drift --gauge depth-1 --chart cusum --svg depth-1-cusum.svg",
		Args: app.Arguments(0, 1),
	}
	f.add(a, cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		read, options, err := f.parse()
		switch {
		case err != nil:
			return err
		case (len(args) == 0) == (f.gauge == ""):
			return app.Usagef("name a file of checks, or with --gauge a gauge of the daemon")
		}
		if err := f.together(cmd); err != nil {
			return err
		}
		if f.gauge != "" {
			return a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error { return driftOf(a, ctx, d, f, options) })(cmd, args)
		}
		a.Running = true
		file, err := readChecks(args[0], read)
		if err != nil {
			return err
		}
		if file.clock.numeric() {
			options.Lasts = new(time.Duration) // one time is one occasion
		}
		g, err := drift.NewGauge(file.series, options)
		if err != nil {
			return fmt.Errorf("%s: %w", args[0], err)
		}
		return showDrift(a, driftView{Gauge: g, Unit: f.unit, Unused: file.unused, Remarks: file.remarks, series: file.series, clock: file.clock}, f)
	}
	return cmd
}

// showDrift writes a review as it was asked for, and the chart that was asked for to
// a file when one is named.
func showDrift(a *app.App, view driftView, f driftFlags) error {
	if f.point == "" && f.chart != errorChart {
		f.point = view.ToShow().Point // the chart that signals, whatever point decides
	}
	if err := view.look(f.point); err != nil {
		return err
	}
	picture, err := view.chart(f.chart)
	if err != nil {
		return err
	}
	if f.svg != "" {
		if err := os.WriteFile(f.svg, []byte(picture.SVG()), 0o644); err != nil {
			return fmt.Errorf("writing the chart: %w", err)
		}
	}
	return a.ShowValue(view, func(w io.Writer) error {
		view.render(w)
		_, err := fmt.Fprintf(w, "\n%s", picture.Text(72, 18))
		return err
	})
}
