package study

import (
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"gauged/internal/cli/app"
	"gauged/internal/health/study"
)

func oneWayCommand(a *app.App) *cobra.Command {
	cmd, in := studyOf(a, study.OneWayKind, "Compare groups of readings by analysis of variance",
		"One-way analysis of variance. Columns: group and value; or a row for each group, or part\n"+
			"of it, with the mean, its standard deviation and the count of repeats.",
		"  gaugectl study one-way gears.csv --group batch --value diameter",
		study.Group, study.Deviation, study.Repeats)
	app.NumberVar(cmd.Flags(), &in.plan.Stated, "stated", 0, "test the standard deviation of all readings against this one")
	return cmd
}

func biasCommand(a *app.App) *cobra.Command {
	cmd, in := studyOf(a, study.BiasKind, "Test whether readings differ from their reference value, or two series from each other",
		"The mean error of readings with a t test, by standard deviation and by range. Columns:\n"+
			"value and reference; --reference takes a number for all rows, or the column of another\n"+
			"gauge's or configuration's readings, which makes it a test of paired differences.",
		"  gaugectl study bias readings.csv --reference 6.0\n"+
			"  gaugectl study bias pairs.csv --value a --reference b",
		study.Reference)
	in.tolerance(cmd.Flags())
	app.NumberVar(cmd.Flags(), &in.plan.D2Star, "d2-star", 0, "divisor of the range, from a table (default: computed)")
	return cmd
}

func linearityCommand(a *app.App) *cobra.Command {
	cmd, in := studyOf(a, study.LinearityKind, "See how the error changes over the range of the gauge",
		"A straight line through the errors over the reference values. Columns: value and reference.",
		"  gaugectl study linearity masters.csv --unit mm",
		study.Reference)
	in.tolerance(cmd.Flags())
	return cmd
}

func stabilityCommand(a *app.App) *cobra.Command {
	cmd, _ := studyOf(a, study.StabilityKind, "See whether the error of a gauge stays the same over time",
		"Readings of a master in the order of the rows, against the limits of an individuals chart.\n"+
			"Columns: value, and if wanted reference, time and part: the master, of which each is\n"+
			"studied by itself.",
		"  gaugectl study stability daily.csv --reference 25.000 --unit mm",
		study.Part, study.Reference, study.Time)
	return cmd
}

func capabilityCommand(a *app.App) *cobra.Command {
	cmd, in := studyOf(a, study.CapabilityKind, "Indices of one gauge that reads one master again and again",
		"The indices Cg and Cgk, as they are common practice without a source. Columns: value and\n"+
			"reference, or --reference with a number.",
		"  gaugectl study capability master.csv --reference 6.0 --tolerance 3",
		study.Reference)
	in.tolerance(cmd.Flags())
	in.indices(cmd.Flags())
	return cmd
}

// indices adds the flags of capability.
func (in *studyInput) indices(flags *pflag.FlagSet) {
	x := &in.plan.Indices
	app.NumberVar(flags, &x.Percent, "percent", 20, "percent of the tolerance that the gauge's spread may take")
	app.NumberVar(flags, &x.Spread, "spread", 6, "standard deviations that the spread is wide")
	app.NumberVar(flags, &x.Least, "least", 1.33, "what both indices must reach")
}
