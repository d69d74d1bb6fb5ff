// Package drift has the command that reviews the errors of gauges from check to check.
package drift

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/health/drift"
)

const driftLong = "Review the checks of one gauge. You see how fast its error moves and when it reaches\n" +
	"the maximum permissible error. You see whether it jumped between two checks, and which\n" +
	"control charts signal. You see how long the next interval may be.\n" +
	"Nothing is stored, and no verdict depends on it. docs/drift.md explains each number.\n" +
	"\n" +
	"With GAUGE the checks are those that the daemon has, and the limit is that of the last\n" +
	"check. With --file they are in a CSV file with one line of column names, and no daemon\n" +
	"is needed. Lines that begin with # are remarks. A cell may be empty.\n" +
	"\n" +
	"Columns that are needed:\n" +
	"  time         a date such as 2026-03-31, a time in RFC 3339, or a number; in order for each master\n" +
	"  error        the error as found: indication less true value; or the columns reading and reference\n" +
	"\n" +
	"Optional columns:\n" +
	"  master       where the check was made: each master has its own trend, and the worst decides\n" +
	"  uncertainty  standard uncertainty of the error, of what is independent from check to check;\n" +
	"               it counts when every check has one\n" +
	"  k            coverage factor, where it is an expanded uncertainty\n" +
	"  unit         unit of all lengths of the line, instead of --unit\n" +
	"  shared       standard uncertainty that all checks at the master share: its certificate\n" +
	"  verdict      pass, fail or undecided: one that did not pass extends no interval\n" +
	"  left         the error as left, after an adjustment\n" +
	"  spread       standard deviation of the repeats within the check\n" +
	"  repeats      number of repeats within the check\n" +
	"  uses         all uses of the gauge so far"

// Command reviews how the error of gauges moves from check to check.
func Command(a *app.App) *cobra.Command {
	var f driftFlags
	cmd := &cobra.Command{
		Use:   "drift GAUGE | --file CHECKS.csv",
		Short: "Show how a gauge's error moves, and when to check again",
		Long:  driftLong,
		Example: "  gaugectl drift depth-1 --chart cusum --svg depth-1-cusum.svg\n" +
			"  gaugectl drift --file depth-1.csv --mpe 8um --unit um\n" +
			"  gaugectl drift --file depth-1.csv --column error=deviation --svg depth-1.svg",
		Args:              app.Arguments(0, 1),
		ValidArgsFunction: app.First(a.Names(app.GaugeNames)),
	}
	f.add(a, cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if (len(args) == 0) == (f.file == "") {
			return app.Usagef("name a gauge of the daemon, or with --file a file of checks")
		}
		if len(args) == 1 && strings.HasSuffix(args[0], ".csv") {
			return app.Usagef("%s is not a gauge: write --file %s for a file of checks", args[0], args[0])
		}
		read, options, err := f.read(cmd)
		if err != nil {
			return err
		}
		if f.file == "" {
			return a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
				return driftOf(a, ctx, d, args[0], f, options)
			})(cmd, args)
		}
		a.Running = true
		file, err := readChecks(f.file, read)
		if err != nil {
			return err
		}
		if file.clock.numeric() {
			options.Lasts = new(time.Duration) // one time is one occasion
		}
		g, err := drift.NewGauge(file.series, options)
		if err != nil {
			return fmt.Errorf("%s: %w", f.file, err)
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
