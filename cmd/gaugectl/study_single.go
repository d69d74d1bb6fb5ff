package main

import (
	"io"

	"github.com/spf13/cobra"

	"gauged/internal/study"
)

func (a *app) oneWayCommand() *cobra.Command {
	var in *studyInput
	var stated float64
	cmd := a.studyOf("one-way", "Compare groups of readings by analysis of variance",
		"One-way analysis of variance. Columns: group and value; or a row for each group, or part\n"+
			"of it, with the mean, its standard deviation and the count of repeats.",
		"  gaugectl study one-way gears.csv --group batch --value diameter",
		func(file string) error {
			d, err := in.data(file, []study.Role{study.Group}, study.Deviation, study.Repeats)
			if err != nil {
				return err
			}
			r, err := study.OneWay(d, stated, in.options)
			if err != nil {
				return err
			}
			return a.showStudy(r, func(w io.Writer) { renderOneWay(w, in, r) })
		})
	in = studyFlags(cmd.Flags(), study.Group, study.Deviation, study.Repeats)
	cmd.Flags().Float64Var(&stated, "stated", 0, "test the standard deviation of all readings against this one")
	return cmd
}

func (a *app) biasCommand() *cobra.Command {
	var in *studyInput
	var d2Star float64
	cmd := a.studyOf("bias", "Test whether readings differ from their reference value, or two series from each other",
		"The mean error of readings with a t test, by standard deviation and by range. Columns:\n"+
			"value and reference; --reference takes a number for all rows, or the column of another\n"+
			"gauge's or configuration's readings, which makes it a test of paired differences.",
		"  gaugectl study bias readings.csv --reference 6.0\n"+
			"  gaugectl study bias pairs.csv --value a --reference b",
		func(file string) error {
			d, err := in.data(file, []study.Role{study.Reference})
			if err != nil {
				return err
			}
			r, err := study.Bias(d, d2Star, in.options)
			if err != nil {
				return err
			}
			return a.showStudy(r, func(w io.Writer) { renderBias(w, in, r) })
		})
	in = studyFlags(cmd.Flags(), study.Reference)
	in.tolerance(cmd.Flags())
	cmd.Flags().Float64Var(&d2Star, "d2-star", 0, "divisor of the range, from a table (default: computed)")
	return cmd
}

func (a *app) linearityCommand() *cobra.Command {
	var in *studyInput
	cmd := a.studyOf("linearity", "See how the error changes over the range of the gauge",
		"A straight line through the errors over the reference values. Columns: value and reference.",
		"  gaugectl study linearity masters.csv --unit mm",
		func(file string) error {
			d, err := in.data(file, []study.Role{study.Reference})
			if err != nil {
				return err
			}
			r, err := study.Linearity(d, in.options)
			if err != nil {
				return err
			}
			return a.showStudy(r, func(w io.Writer) { renderLinearity(w, in, r) })
		})
	in = studyFlags(cmd.Flags(), study.Reference)
	in.tolerance(cmd.Flags())
	return cmd
}

func (a *app) stabilityCommand() *cobra.Command {
	var in *studyInput
	cmd := a.studyOf("stability", "See whether the error of a gauge stays the same over time",
		"Readings of a master in the order of the rows, against the limits of an individuals chart.\n"+
			"Columns: value, and if wanted reference and time.",
		"  gaugectl study stability daily.csv --reference 25.000 --unit mm",
		func(file string) error {
			d, err := in.data(file, nil, study.Reference, study.Time)
			if err != nil {
				return err
			}
			r, err := study.Stability(d, in.options)
			if err != nil {
				return err
			}
			return a.showStudy(r, func(w io.Writer) { renderStability(w, in, r, d.Has(study.Reference)) })
		})
	in = studyFlags(cmd.Flags(), study.Reference, study.Time)
	return cmd
}

func (a *app) capabilityCommand() *cobra.Command {
	var in *studyInput
	var indices study.Indices
	cmd := a.studyOf("capability", "Indices of one gauge that reads one master again and again",
		"The indices Cg and Cgk, as they are common practice without a source. Columns: value and\n"+
			"reference, or --reference with a number.",
		"  gaugectl study capability master.csv --reference 6.0 --tolerance 3",
		func(file string) error {
			d, err := in.data(file, []study.Role{study.Reference})
			if err != nil {
				return err
			}
			r, err := study.Capability(d, indices, in.options)
			if err != nil {
				return err
			}
			return a.showStudy(r, func(w io.Writer) { renderCapability(w, in, r) })
		})
	in = studyFlags(cmd.Flags(), study.Reference)
	in.tolerance(cmd.Flags())
	cmd.Flags().Float64Var(&indices.Percent, "percent", 20, "percent of the tolerance that the gauge's spread may take")
	cmd.Flags().Float64Var(&indices.Spread, "spread", 6, "standard deviations that the spread is wide")
	cmd.Flags().Float64Var(&indices.Least, "least", 1.33, "what both indices must reach")
	return cmd
}
