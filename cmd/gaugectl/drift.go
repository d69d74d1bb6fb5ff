package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"gauged/internal/drift"
	"gauged/internal/drift/picture"
	"gauged/internal/gauge"
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
	ewma    string
	cusum   string
}

func (a *app) driftCommand() *cobra.Command {
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
			"  time         a date such as 2026-03-31, or RFC 3339, in order\n" +
			"  error        the error as found: indication less true value\n" +
			"and known are also\n" +
			"  uncertainty  standard uncertainty of the error; counts when every check has one\n" +
			"  left         the error as left, after an adjustment\n" +
			"  spread       standard deviation of the repeats within the check\n" +
			"  repeats      how many they are\n" +
			"  uses         all uses of the gauge so far\n" +
			"Lines that begin with # are remarks; a cell may be empty where nothing is known.",
		Example: "  gaugectl drift depth-1.csv --mpe 8 --unit um\n" +
			"  gaugectl drift depth-1.csv --column error=deviation --svg depth-1.svg\n" +
			"  gaugectl drift --gauge depth-1 --chart cusum --svg depth-1-cusum.svg",
		Args: arguments(0, 1),
	}
	cmd.Flags().StringVar(&f.mpe, "mpe", "", "maximum permissible error, either side, in the unit of the errors")
	cmd.Flags().StringVar(&f.unit, "unit", "", "unit of all errors of the file and of --mpe: mm, in or um; without it they are shown as numbers")
	cmd.Flags().StringArrayVar(&f.columns, "column", nil, "COLUMN=NAME where the file names a column otherwise")
	cmd.Flags().StringVar(&f.deviate, "deviation", "", "usual standard deviation of the gauge's repeats, in the unit of the errors: a larger spread within the checks is said")
	numberVar(cmd.Flags(), &f.centre, "centre", 0, "centre of the charts, with --sigma")
	numberVar(cmd.Flags(), &f.sigma, "sigma", 0, "standard deviation of an error in control where it is known otherwise; the charts then judge the first check too")
	numberVar(cmd.Flags(), &f.single, "individuals", 0, fmt.Sprintf("limits of a single error, in sigma (usually %g)", drift.UsualSingle))
	cmd.Flags().StringVar(&f.ewma, "ewma", "", "`WEIGHT,WIDTH` of an EWMA, such as 0.2,2.962, which is charted when they are given")
	cmd.Flags().StringVar(&f.cusum, "cusum", "", fmt.Sprintf("`SLACK,HEIGHT` of the CUSUM, in sigma (usually %g,%g)", drift.UsualSlack, drift.UsualHeight))
	cmd.Flags().StringVar(&f.chart, "chart", errorChart, "what is drawn: "+strings.Join(driftCharts, ", "))
	cmd.Flags().StringVar(&f.svg, "svg", "", "write the chart to this file too, as SVG")
	cmd.Flags().StringVar(&f.gauge, "gauge", "", "the checks that the daemon has of this gauge, instead of a file")
	a.complete(cmd, "gauge", a.names(gaugeNames))
	a.complete(cmd, "chart", fixed(driftCharts...))
	a.complete(cmd, "unit", fixed(gauge.Symbols(gauge.KindLength)...))
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		names, options, err := f.parse()
		switch {
		case err != nil:
			return err
		case cmd.Flags().Changed("centre") && !cmd.Flags().Changed("sigma"):
			return usagef("--centre says nothing without --sigma")
		case cmd.Flags().Changed("sigma") && !(f.sigma > 0):
			return usagef("--sigma %g is not above 0", f.sigma)
		case f.chart == picture.EWMA && f.ewma == "":
			return usagef("--chart ewma is drawn where --ewma WEIGHT,WIDTH is given, such as 0.2,2.962")
		case (len(args) == 0) == (f.gauge == ""):
			return usagef("name a file of checks, or with --gauge a gauge of the daemon")
		case f.gauge != "" && (len(f.columns) > 0 || f.mpe != "" || f.unit != ""):
			return usagef("with --gauge, unit and limit are those of the gauge, and there are no columns")
		case f.gauge != "":
			return a.withDaemon(func(ctx context.Context, d *daemon, _ []string) error { return a.driftOf(ctx, d, f, options) })(cmd, args)
		}
		a.running = true
		checks, unused, err := readChecks(args[0], names)
		if err != nil {
			return err
		}
		r, err := drift.NewReview(checks, options)
		if err != nil {
			return fmt.Errorf("%s: %w", args[0], err)
		}
		return a.showDrift(driftView{Review: r, Unit: f.unit, Unused: unused, checks: checks, since: r.To}, f)
	}
	return cmd
}

// parse checks the flags and returns the names of the columns in the file.
func (f driftFlags) parse() (map[string]string, drift.Options, error) {
	var o drift.Options
	names := map[string]string{}
	for _, text := range f.columns {
		column, name, ok := strings.Cut(text, "=")
		if !ok || name == "" || !slices.Contains(checkColumns, column) {
			return nil, o, fmt.Errorf("--column %q: write COLUMN=NAME, where COLUMN is %s", text, strings.Join(checkColumns, ", "))
		}
		names[column] = name
	}
	if !slices.Contains(driftCharts, f.chart) {
		return nil, o, fmt.Errorf("--chart %q: use %s", f.chart, strings.Join(driftCharts, ", "))
	}
	if f.unit != "" {
		if _, err := gauge.ParseUnit(f.unit, gauge.KindLength); err != nil {
			return nil, o, fmt.Errorf("--unit: %w", err)
		}
	}
	if f.sigma > 0 {
		o.Charts.Known = &drift.Baseline{Centre: f.centre, Sigma: f.sigma}
	}
	o.Charts.Single = f.single
	if f.ewma != "" {
		if err := pair("--ewma", f.ewma, &o.Charts.Lambda, &o.Charts.Width); err != nil {
			return nil, o, err
		}
	}
	if f.cusum != "" {
		if err := pair("--cusum", f.cusum, &o.Charts.Slack, &o.Charts.Height); err != nil {
			return nil, o, err
		}
	}
	if err := o.Charts.Valid(); err != nil {
		return nil, o, err
	}
	for _, one := range []struct {
		flag, text string
		to         *float64
	}{{"mpe", f.mpe, &o.MPE}, {"deviation", f.deviate, &o.Deviation}} {
		if one.text == "" {
			continue
		}
		var err error
		if *one.to, err = strconv.ParseFloat(one.text, 64); err != nil || !(*one.to > 0) || *one.to > largest {
			return nil, o, fmt.Errorf("--%s %q is not a number above 0: write it as 0.008, in the unit of the errors", one.flag, one.text)
		}
	}
	return names, o, nil
}

// pair reads two numbers above 0.
func pair(flag, text string, first, second *float64) error {
	one, other, both := strings.Cut(text, ",")
	var errs [2]error
	*first, errs[0] = parseNumber(one)
	*second, errs[1] = parseNumber(other)
	if !both || errors.Join(errs[:]...) != nil || !(*first > 0 && *second > 0) {
		return fmt.Errorf("%s %q is not two numbers above 0 with a comma between them", flag, text)
	}
	return nil
}

// showDrift writes a review as it was asked for, and the chart that was asked for to
// a file when one is named.
func (a *app) showDrift(view driftView, f driftFlags) error {
	picture, err := view.chart(f.chart)
	if err != nil {
		return err
	}
	if f.svg != "" {
		if err := os.WriteFile(f.svg, []byte(picture.SVG()), 0o644); err != nil {
			return fmt.Errorf("writing the chart: %w", err)
		}
	}
	if a.output == outputJSON {
		encoder := json.NewEncoder(a.stdout)
		encoder.SetIndent("", "  ")
		return encoder.Encode(view)
	}
	view.render(a.stdout)
	_, err = fmt.Fprintf(a.stdout, "\n%s", picture.Text(72, 18))
	return err
}
