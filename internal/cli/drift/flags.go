package drift

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"gauged/internal/cli/app"
	"gauged/internal/gauge"
	"gauged/internal/health/drift"
	"gauged/internal/health/driftchart"
	"gauged/internal/health/study"

	"github.com/spf13/cobra"
)

// driftFlags are the flags of drift.
type driftFlags struct {
	mpe     string
	unit    string
	columns []string
	chart   string
	svg     string
	file    string
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

// add adds the flags to the command.
func (f *driftFlags) add(a *app.App, cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.mpe, "mpe", "", "maximum permissible error, either side, such as 8um")
	cmd.Flags().StringVar(&f.unit, "unit", "", "unit in which errors are shown, and of lines and lengths without one: mm, in or um")
	cmd.Flags().StringArrayVar(&f.columns, "column", nil, "`COLUMN=NAME`, where the file has another name for a column; may be repeated")
	cmd.Flags().StringVar(&f.deviate, "deviation", "", "usual standard deviation of the gauge's repeats; a larger spread is pointed out")
	cmd.Flags().StringVar(&f.step, "resolution", "", "step of the gauge's display; a change of one step is none")
	app.NumberVar(cmd.Flags(), &f.centre, "centre", 0, "centre of the control charts; needs --sigma")
	app.NumberVar(cmd.Flags(), &f.sigma, "sigma", 0, "known standard deviation of an error in control; the charts then judge the first check too")
	app.NumberVar(cmd.Flags(), &f.single, "individuals", 0, fmt.Sprintf("limits of a single error, in sigma (usually %g)", drift.UsualSingle))
	cmd.Flags().StringVar(&f.ewma, "ewma", "", "also draw an EWMA chart with this `WEIGHT,WIDTH`, such as 0.2,2.962")
	cmd.Flags().StringVar(&f.cusum, "cusum", "", fmt.Sprintf("`SLACK,HEIGHT` of the CUSUM, in sigma (usually %g,%g)", drift.UsualSlack, drift.UsualHeight))
	cmd.Flags().StringVar(&f.point, "point", "", "the master to show and draw (default: the one that decides, or that signals)")
	cmd.Flags().StringVar(&f.rows, "rows", "", "use these rows of the file: `FIRST-LAST`, such as 1-99")
	cmd.Flags().StringVar(&f.calibration, "calibration", "", "calibration line `OFFSET,SLOPE`: error = (reading - OFFSET) / SLOPE - reference")
	cmd.Flags().DurationVar(&f.occasion, "occasion", drift.OccasionLasts, "checks within this time count as one occasion; where times are numbers, those of one number")
	cmd.Flags().StringVar(&f.chart, "chart", errorChart, "chart to draw: "+strings.Join(driftCharts, ", "))
	cmd.Flags().StringVar(&f.svg, "svg", "", "also write the chart to this `FILE`, as SVG")
	cmd.Flags().StringVar(&f.file, "file", "", "read the checks from this CSV `FILE`, without a daemon")
	a.Complete(cmd, "chart", app.Fixed(driftCharts...))
	a.Complete(cmd, "unit", app.Fixed(gauge.Symbols(gauge.KindLength)...))
}

// together refuses flags that say nothing with or without each other.
func (f *driftFlags) together(cmd *cobra.Command) error {
	switch {
	case cmd.Flags().Changed("centre") && !cmd.Flags().Changed("sigma"):
		return app.Usagef("--centre says nothing without --sigma")
	case cmd.Flags().Changed("sigma") && !(f.sigma > 0):
		return app.Usagef("--sigma %g is not above 0", f.sigma)
	case f.chart == driftchart.EWMA && f.ewma == "":
		return app.Usagef("--chart ewma is drawn where --ewma WEIGHT,WIDTH is given, such as 0.2,2.962")
	case f.file == "" && (len(f.columns) > 0 || f.mpe != "" || f.step != "" || f.unit != "" || f.rows != "" || f.calibration != ""):
		return app.Usagef("without --file, unit, limit and resolution are those of the gauge, and there are no columns and rows")
	}
	return nil
}

// read checks the flags, alone and together, and returns how a file is read.
func (f *driftFlags) read(cmd *cobra.Command) (checkReading, drift.Options, error) {
	given := *f
	read, options, err := f.parse()
	if err == nil {
		err = given.together(cmd)
	}
	return read, options, err
}

// parse checks the flags and returns how a file is read.
func (f *driftFlags) parse() (checkReading, drift.Options, error) {
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
	if err := f.charts(&o.Charts); err != nil {
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
		if *one.to, err = f.length(one.flag, one.text, &read); err != nil {
			return read, o, err
		}
	}
	return read, o, nil
}

// length reads a length above 0 in the unit of the errors; that of a gauge of the daemon
// is not known yet, and the length keeps its own.
func (f *driftFlags) length(flag, text string, read *checkReading) (float64, error) {
	x, unit, err := app.Size(flag, text)
	switch {
	case err != nil || !unit.Known():
		return x, err
	case !read.unit.Known() && f.file != "":
		return 0, app.Usagef("--%s %s: say with --unit in which unit the errors of the file are", flag, text)
	case !read.unit.Known():
		read.unit, f.unit = unit, unit.String()
	}
	return app.Converted(x, unit, read.unit), nil
}

// charts reads how errors are charted.
func (f driftFlags) charts(o *drift.ChartSettings) error {
	if f.sigma > 0 {
		o.Known = &drift.Baseline{Centre: f.centre, Sigma: f.sigma}
	}
	o.Single = f.single
	if f.ewma != "" {
		if err := pair("--ewma", f.ewma, &o.Lambda, &o.Width); err != nil {
			return err
		}
	}
	if f.cusum != "" {
		if err := pair("--cusum", f.cusum, &o.Slack, &o.Height); err != nil {
			return err
		}
	}
	return o.Valid()
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
		return fmt.Errorf("--rows %q is not a range of rows: write it as 1-99", text)
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
