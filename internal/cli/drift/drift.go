// Package drift has the command that reviews the errors of gauges from check to check.
package drift

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/gauge"
	"gauged/internal/health/drift"
	"gauged/internal/health/driftchart"
	"gauged/internal/health/study"
)

// driftFlags are the flags of drift.
type driftFlags struct {
	mpe     string
	unit    string
	columns []string
	chart   string
	svg     string
	gauge   string
	centre  float64
	sigma   float64
	single  float64
	deviate string
	step    string
	ewma    string
	cusum   string

	point       string
	rows        string
	calibration string
	occasion    time.Duration
}

// Command reviews how the error of gauges moves from check to check.
func Command(a *app.App) *cobra.Command {
	var f driftFlags
	cmd := &cobra.Command{
		Use:   "drift CHECKS.csv | --gauge GAUGE",
		Short: "Say from a gauge's checks how its error moves and when to check again",
		Long: "Say from the checks of one gauge how fast its error moves and when it reaches the\n" +
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
			"Lines that begin with # are remarks; a cell may be empty where nothing is known.",
		Example: "  gaugectl drift depth-1.csv --mpe 8 --unit um\n" +
			"  gaugectl drift depth-1.csv --column error=deviation --svg depth-1.svg\n" +
			"  gaugectl drift --gauge depth-1 --chart cusum --svg depth-1-cusum.svg",
		Args: app.Arguments(0, 1),
	}
	cmd.Flags().StringVar(&f.mpe, "mpe", "", "maximum permissible error, either side, in the unit of the errors")
	cmd.Flags().StringVar(&f.unit, "unit", "", "unit in which errors are shown, and of --mpe: mm, in or um; that of lines without a unit; without it errors are shown as numbers")
	cmd.Flags().StringArrayVar(&f.columns, "column", nil, "COLUMN=NAME where the file names a column otherwise")
	cmd.Flags().StringVar(&f.deviate, "deviation", "", "usual standard deviation of the gauge's repeats, in the unit of the errors: a larger spread within the checks is said")
	cmd.Flags().StringVar(&f.step, "resolution", "", "step of the gauge's display, in the unit of the errors: rounding scatters by it, and one step is no change")
	app.NumberVar(cmd.Flags(), &f.centre, "centre", 0, "centre of the charts, with --sigma")
	app.NumberVar(cmd.Flags(), &f.sigma, "sigma", 0, "standard deviation of an error in control where it is known otherwise; the charts then judge the first check too")
	app.NumberVar(cmd.Flags(), &f.single, "individuals", 0, fmt.Sprintf("limits of a single error, in sigma (usually %g)", drift.UsualSingle))
	cmd.Flags().StringVar(&f.ewma, "ewma", "", "`WEIGHT,WIDTH` of an EWMA, such as 0.2,2.962, which is charted when they are given")
	cmd.Flags().StringVar(&f.cusum, "cusum", "", fmt.Sprintf("`SLACK,HEIGHT` of the CUSUM, in sigma (usually %g,%g)", drift.UsualSlack, drift.UsualHeight))
	cmd.Flags().StringVar(&f.point, "point", "", "the master that is shown and drawn; without it the one that decides, for a control chart one that signals")
	cmd.Flags().StringVar(&f.rows, "rows", "", "`FIRST-LAST` rows of the file that count, such as 1-99")
	cmd.Flags().StringVar(&f.calibration, "calibration", "", "`OFFSET,SLOPE` of the calibration line: error = (reading - OFFSET) / SLOPE - reference")
	cmd.Flags().DurationVar(&f.occasion, "occasion", drift.OccasionLasts, "how long the checks of one occasion, which count as one, lie apart; with times that are numbers those of one time")
	cmd.Flags().StringVar(&f.chart, "chart", errorChart, "what is drawn: "+strings.Join(driftCharts, ", "))
	cmd.Flags().StringVar(&f.svg, "svg", "", "write the chart to this file too, as SVG")
	cmd.Flags().StringVar(&f.gauge, "gauge", "", "the checks that the daemon has of this gauge, instead of a file")
	a.Complete(cmd, "gauge", a.Names(app.GaugeNames))
	a.Complete(cmd, "chart", app.Fixed(driftCharts...))
	a.Complete(cmd, "unit", app.Fixed(gauge.Symbols(gauge.KindLength)...))
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		read, options, err := f.parse()
		switch {
		case err != nil:
			return err
		case cmd.Flags().Changed("centre") && !cmd.Flags().Changed("sigma"):
			return app.Usagef("--centre says nothing without --sigma")
		case cmd.Flags().Changed("sigma") && !(f.sigma > 0):
			return app.Usagef("--sigma %g is not above 0", f.sigma)
		case f.chart == driftchart.EWMA && f.ewma == "":
			return app.Usagef("--chart ewma is drawn where --ewma WEIGHT,WIDTH is given, such as 0.2,2.962")
		case (len(args) == 0) == (f.gauge == ""):
			return app.Usagef("name a file of checks, or with --gauge a gauge of the daemon")
		case f.gauge != "" && (len(f.columns) > 0 || f.mpe != "" || f.step != "" || f.unit != "" || f.rows != "" || f.calibration != ""):
			return app.Usagef("with --gauge, unit, limit and resolution are those of the gauge, and there are no columns and rows")
		case f.gauge != "":
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

// parse checks the flags and returns how a file is read.
func (f driftFlags) parse() (checkReading, drift.Options, error) {
	o := drift.Options{Lasts: &f.occasion}
	read := checkReading{names: map[string]string{}}
	for _, text := range f.columns {
		column, name, ok := strings.Cut(text, "=")
		if !ok || name == "" || !slices.Contains(checkColumns, column) {
			return read, o, fmt.Errorf("--column %q: write COLUMN=NAME, where COLUMN is %s", text, strings.Join(checkColumns, ", "))
		}
		read.names[column] = name
	}
	if err := errors.Join(read.takeRows(f.rows), read.takeLine(f.calibration)); err != nil {
		return read, o, err
	}
	if !slices.Contains(driftCharts, f.chart) {
		return read, o, app.NotOneOf("--chart", f.chart, driftCharts)
	}
	if f.unit != "" {
		var err error
		if read.unit, err = gauge.ParseUnit(f.unit, gauge.KindLength); err != nil {
			return read, o, fmt.Errorf("--unit: %w", err)
		}
	}
	if f.sigma > 0 {
		o.Charts.Known = &drift.Baseline{Centre: f.centre, Sigma: f.sigma}
	}
	o.Charts.Single = f.single
	if f.ewma != "" {
		if err := pair("--ewma", f.ewma, &o.Charts.Lambda, &o.Charts.Width); err != nil {
			return read, o, err
		}
	}
	if f.cusum != "" {
		if err := pair("--cusum", f.cusum, &o.Charts.Slack, &o.Charts.Height); err != nil {
			return read, o, err
		}
	}
	if err := o.Charts.Valid(); err != nil {
		return read, o, err
	}
	for _, one := range []struct {
		flag, text string
		to         *float64
	}{{"mpe", f.mpe, &o.MPE}, {"deviation", f.deviate, &o.Deviation}, {"resolution", f.step, &o.Charts.Step}} {
		if one.text == "" {
			continue
		}
		var err error
		if *one.to, err = strconv.ParseFloat(one.text, 64); err != nil || !(*one.to > 0) || *one.to > app.Largest {
			return read, o, fmt.Errorf("--%s %q is not a number above 0: write it as 0.008, in the unit of the errors", one.flag, one.text)
		}
	}
	return read, o, nil
}

// takeRows reads a range of rows.
func (r *checkReading) takeRows(text string) error {
	if text == "" {
		return nil
	}
	first, last, _ := strings.Cut(text, "-")
	var errs [2]error
	r.first, errs[0] = strconv.Atoi(first)
	r.last, errs[1] = strconv.Atoi(last)
	if errors.Join(errs[:]...) != nil || r.first < 1 || r.last < r.first {
		return fmt.Errorf("--rows %q is no range of rows: write it as 1-99", text)
	}
	return nil
}

// takeLine reads a calibration line with all its digits.
func (r *checkReading) takeLine(text string) error {
	if text == "" {
		return nil
	}
	offset, slope, both := strings.Cut(text, ",")
	var errs [2]error
	r.offset, errs[0] = study.ParseNumber(strings.TrimSpace(offset))
	r.slope, errs[1] = study.ParseNumber(strings.TrimSpace(slope))
	if !both || errors.Join(errs[:]...) != nil || r.slope.Sign() <= 0 {
		return fmt.Errorf("--calibration %q is not an offset and a slope above 0 with a comma between them: write it as 0.2357,0.9870", text)
	}
	return nil
}

// pair reads two numbers above 0.
func pair(flag, text string, first, second *float64) error {
	one, other, both := strings.Cut(text, ",")
	var errs [2]error
	*first, errs[0] = app.ParseNumber(one)
	*second, errs[1] = app.ParseNumber(other)
	if !both || errors.Join(errs[:]...) != nil || !(*first > 0 && *second > 0) {
		return fmt.Errorf("%s %q is not two numbers above 0 with a comma between them", flag, text)
	}
	return nil
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
