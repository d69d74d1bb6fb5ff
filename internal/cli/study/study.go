// Package study has the commands for gauge studies, of a file and at the bench.
package study

import (
	"cmp"
	"slices"
	"strings"

	"gauged/internal/readfile"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"gauged/internal/cli/app"
	"gauged/internal/gauge"
	"gauged/internal/health/study"
)

// Command is the group of commands for gauge studies.
func Command(a *app.App) *cobra.Command {
	cmd := a.Group("study", "Study a gauge: repeatability, bias and more",
		crossedCommand(a), nestedCommand(a), oneWayCommand(a), biasCommand(a), linearityCommand(a), stabilityCommand(a), capabilityCommand(a),
		studyRecordCommand(a), studyShowCommand(a))
	cmd.Long = "Study a gauge: repeatability and reproducibility, bias, linearity, stability,\n" +
		"capability. Each figure has its interval. Each verdict has its rule, and where the\n" +
		"rule is from.\n" +
		"\n" +
		"With GAUGE the daemon's checks of the gauge are studied. With --file the readings are\n" +
		"in a CSV file with one line of column names. Then no daemon is needed, and nothing is\n" +
		"stored. Lines that begin with # are remarks.\n" +
		"\n" +
		"record leads through a study at the bench. show is for a stored study; gaugectl studies\n" +
		"lists them."
	cmd.Example = "  gaugectl study crossed --file readings.csv --tolerance 0.10mm --unit mm\n" +
		"  gaugectl study bias dial --master block-25\n" +
		"  gaugectl study record dial --kind crossed --parts 10 --persons A,B,C --trials 3 --seed 7"
	return cmd
}

// studyInput is what the flags of a study say.
type studyInput struct {
	columns map[study.Role]*string
	unit    string
	only    []string
	plan    study.Plan
	svg     string // directory for the charts
	file    string
	width   string // of the tolerance, as it is written
}

// studyFlags are the flags that all studies share, and those of the columns.
func studyFlags(flags *pflag.FlagSet, roles ...study.Role) *studyInput {
	in := &studyInput{columns: map[study.Role]*string{}, plan: study.Plan{Options: study.Options{Seed: 1}}}
	for _, r := range append([]study.Role{study.Value}, roles...) {
		usage := "`COLUMN` with the " + roleText[r]
		if r == study.Reference || r == study.Repeats {
			usage = "`COLUMN` with the " + roleText[r] + ", or a number for all rows"
		}
		in.columns[r] = flags.String(string(r), "", usage)
	}
	flags.StringVar(&in.unit, "unit", "", "unit of the values (default: that of a column unit, else none)")
	flags.StringArrayVar(&in.only, "only", nil, "use only rows with this value: `COLUMN=VALUE`, may be repeated")
	in.common(flags)
	return in
}

// common adds the flags of a study of any source.
func (in *studyInput) common(flags *pflag.FlagSet) {
	app.NumberVar(flags, &in.plan.Options.Confidence, "confidence", 0.95, "confidence of the intervals")
	in.drawing(flags)
}

// drawing adds the flag of the charts.
func (in *studyInput) drawing(flags *pflag.FlagSet) {
	flags.StringVar(&in.svg, "svg", "", "also write the charts into this `DIR`, as SVG")
}

// roleText says what a column holds.
var roleText = map[study.Role]string{
	study.Value: "readings", study.Part: "part", study.Appraiser: "appraiser", study.Trial: "number of the repeat",
	study.Reference: "reference value", study.Group: "group", study.Gauge: "gauge", study.Day: "day", study.Run: "run", study.Time: "time, to name points by",
	study.Deviation: "standard deviation of the repeats whose means the values are",
	study.Repeats:   "count of the repeats whose means the values are",
}

// tolerance adds the flags that compare with a tolerance.
func (in *studyInput) tolerance(flags *pflag.FlagSet) {
	flags.StringVar(&in.width, "tolerance", "", "`WIDTH` of the tolerance, upper less lower limit, such as 0.1mm")
}

// variation adds the flags of repeatability and reproducibility.
func (in *studyInput) variation(flags *pflag.FlagSet) {
	in.tolerance(flags)
	app.NumberVar(flags, &in.plan.Options.Spread, "spread", 6, "width of a variation in standard deviations")
}

// table reads the file, with its conditions.
func (in *studyInput) table(file string) (*study.Table, error) {
	content, err := readfile.Whole(file, app.LongestFile)
	if err != nil {
		return nil, err
	}
	t, err := study.ReadTable(file, content)
	if err != nil {
		return nil, err
	}
	for _, condition := range in.only {
		column, value, ok := strings.Cut(condition, "=")
		if !ok {
			return nil, app.Usagef("--only %s: write COLUMN=VALUE", condition)
		}
		if err := t.Only(strings.TrimSpace(column), strings.TrimSpace(value)); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// named are the columns that flags name.
func (in *studyInput) named() study.Columns {
	c := study.Columns{}
	for r, name := range in.columns {
		if *name != "" {
			c[r] = strings.TrimSpace(*name)
		}
	}
	return c
}

// data takes the columns out of the table, and its unit.
func (in *studyInput) data(t *study.Table) (*study.Data, error) {
	d, err := in.plan.Read(t, in.named())
	if err != nil {
		return nil, err
	}
	if in.unit != "" && d.Unit != "" && in.unit != d.Unit {
		return nil, app.Usagef("--unit %s: the unit in the file is %s; nothing is converted", in.unit, d.Unit)
	}
	in.unit = cmp.Or(in.unit, d.Unit)
	return d, in.takeWidth()
}

// takeWidth reads the tolerance in the unit of the values.
func (in *studyInput) takeWidth() error {
	if in.width == "" {
		return nil
	}
	x, unit, err := app.Size("tolerance", in.width)
	if err != nil {
		return err
	}
	if unit.Known() {
		if in.unit == "" {
			return app.Usagef("--tolerance %s: say with --unit in which unit the values are", in.width)
		}
		to, err := gauge.ParseUnit(in.unit, gauge.KindLength)
		if err != nil {
			return app.Usagef("--tolerance %s: the values are in %s", in.width, in.unit)
		}
		x = app.Converted(x, unit, to)
	}
	in.plan.Options.Tolerance = x
	return nil
}

// number writes a figure with the unit.
func (in *studyInput) number(x float64) string {
	if in.unit == "" {
		return study.Number(x)
	}
	return study.Number(x) + " " + in.unit
}

// studyOf makes the command of one study: of a file, or where the daemon can make it of
// the checks that it has of a gauge.
func studyOf(a *app.App, kind study.Kind, short, long, example string, roles ...study.Role) (*cobra.Command, *studyInput) {
	cmd := &cobra.Command{Use: string(kind) + " --file FILE.csv", Short: short, Long: long, Example: example, Args: app.Arguments(0, 0)}
	in := studyFlags(cmd.Flags(), roles...)
	in.plan.Kind = kind
	cmd.Flags().StringVar(&in.file, "file", "", "read the readings from this CSV `FILE`, without a daemon")
	cmd.RunE = func(*cobra.Command, []string) error { return studyFile(a, in) }
	if slices.Contains(ofChecks, kind) {
		studyOfGauge(a, cmd, in)
	}
	return cmd, in
}

// studyFile makes a study of a file.
func studyFile(a *app.App, in *studyInput) error {
	switch {
	case in.file == "":
		return app.Usagef("name the readings: --file FILE.csv")
	case in.plan.Use.Repeats < 0 || in.plan.Use.Days < 0:
		return app.Usagef("--use-repeats %d and --use-days %d: a result is the mean of 1 at least", in.plan.Use.Repeats, in.plan.Use.Days)
	}
	a.Running = true
	t, err := in.table(in.file)
	if err != nil {
		return err
	}
	d, err := in.data(t)
	if err != nil {
		return err
	}
	s, err := in.plan.Evaluate(d)
	if err != nil {
		return err
	}
	return showStudy(a, in, s)
}

func crossedCommand(a *app.App) *cobra.Command {
	cmd, in := studyOf(a, study.CrossedKind, "Repeatability and reproducibility; everybody measures every part",
		"Repeatability and reproducibility of a crossed study, by analysis of variance and by\n"+
			"averages and ranges.\n"+
			"\n"+
			"Columns: part, appraiser and value; optional is trial.",
		"  gaugectl study crossed --file readings.csv --tolerance 0.10mm --unit mm",
		study.Part, study.Appraiser, study.Trial)
	in.variation(cmd.Flags())
	app.NumberVar(cmd.Flags(), &in.plan.Options.PoolAbove, "pool-above", 0.25, "pool the interaction with repeatability when its `P` is above this; 1 never pools")
	return cmd
}

func nestedCommand(a *app.App) *cobra.Command {
	cmd, in := studyOf(a, study.NestedKind, "Repeatability and reproducibility; everybody has their own parts",
		"There are two nested studies.\n"+
			"\n"+
			"With a column run, or day and no appraiser, repeats are nested in days, and days in\n"+
			"runs, on check standards. You get an error budget. Columns: run, day and value;\n"+
			"optional are part and gauge. A row may also stand for a day: its mean, standard\n"+
			"deviation and count of repeats.\n"+
			"\n"+
			"Otherwise each appraiser measured their own parts. Columns: appraiser, part and value;\n"+
			"optional is trial.",
		"  gaugectl study nested --file readings.csv --unit mm\n"+
			"  gaugectl study nested --file days.csv --value mean --deviation sd --repeats 6 --gauge probe",
		study.Part, study.Appraiser, study.Trial, study.Run, study.Day, study.Gauge, study.Deviation, study.Repeats)
	in.variation(cmd.Flags())
	cmd.Flags().IntVar(&in.plan.Use.Repeats, "use-repeats", 0, "repeats a day in the mean of a later result (default: as in the study)")
	cmd.Flags().IntVar(&in.plan.Use.Days, "use-days", 1, "days in the mean of a later result")
	return cmd
}
