package study

import (
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"gauged/internal/cli/app"
	"gauged/internal/health/study"
)

func oneWayCommand(a *app.App) *cobra.Command {
	cmd, in := studyOf(a, study.OneWayKind, "Compare groups of readings",
		"One-way analysis of variance. Columns: group and value. A row may also stand for a\n"+
			"group or a part of it: its mean, standard deviation and count of repeats.",
		"  gaugectl study one-way --file gears.csv --group batch --value diameter",
		study.Group, study.Deviation, study.Repeats)
	app.NumberVar(cmd.Flags(), &in.plan.Stated, "stated", 0, "test the standard deviation of all readings against this one")
	return cmd
}

func biasCommand(a *app.App) *cobra.Command {
	cmd, in := studyOf(a, study.BiasKind, "Mean error of readings, or of the difference of two series",
		"The mean error of readings with a t test, by standard deviation and by range. Columns:\n"+
			"value and reference.\n"+
			"\n"+
			"--reference takes a number for all rows. It may also name a column with readings of\n"+
			"another gauge: then it is a test of paired differences.",
		"  gaugectl study bias dial --master block-25\n"+
			"  gaugectl study bias --file readings.csv --reference 6.0\n"+
			"  gaugectl study bias --file pairs.csv --value a --reference b",
		study.Reference)
	in.tolerance(cmd.Flags())
	app.NumberVar(cmd.Flags(), &in.plan.D2Star, "d2-star", 0, "divisor of the range, from a table (default: computed)")
	return cmd
}

func linearityCommand(a *app.App) *cobra.Command {
	cmd, in := studyOf(a, study.LinearityKind, "Error over the range of the gauge",
		"A straight line through the errors over the reference values. Columns: value and reference.",
		"  gaugectl study linearity dial\n"+
			"  gaugectl study linearity --file masters.csv --unit mm",
		study.Reference)
	in.tolerance(cmd.Flags())
	return cmd
}

func stabilityCommand(a *app.App) *cobra.Command {
	cmd, _ := studyOf(a, study.StabilityKind, "Error of a gauge over time",
		"Readings of a master in the order of the rows, against the limits of an individuals\n"+
			"chart. Columns: value; optional are reference, time and part. Each part, the master,\n"+
			"is studied by itself.",
		"  gaugectl study stability dial --master block-25 --since 2026-01-01\n"+
			"  gaugectl study stability --file daily.csv --reference 25.000 --unit mm",
		study.Part, study.Reference, study.Time)
	return cmd
}

func capabilityCommand(a *app.App) *cobra.Command {
	cmd, in := studyOf(a, study.CapabilityKind, "Cg and Cgk of a gauge on one master",
		"The indices Cg and Cgk, by common practice without a source. Columns: value and\n"+
			"reference, or --reference with a number.",
		"  gaugectl study capability dial --master block-25 --tolerance 0.1mm --record\n"+
			"  gaugectl study capability --file master.csv --reference 6.0 --tolerance 3",
		study.Reference)
	in.tolerance(cmd.Flags())
	in.indices(cmd.Flags())
	return cmd
}

// indices adds the flags of capability.
func (in *studyInput) indices(flags *pflag.FlagSet) {
	x := &in.plan.Indices
	app.NumberVar(flags, &x.Percent, "percent", 20, "part of the tolerance for the gauge's spread, in percent")
	app.NumberVar(flags, &x.Spread, "spread", 6, "standard deviations that the spread is wide")
	app.NumberVar(flags, &x.Least, "least", 1.33, "what both indices must reach")
}
