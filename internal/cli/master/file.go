package master

import (
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// checkTable is a table of check readings and what is known of its gauge.
type checkTable struct {
	file, unit, mpe, resolution, deviation, expansion string
	readings                                          int
}

func (t *checkTable) flags(a *app.App, cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&t.file, "file", "", "read the checks from this CSV `FILE`, without a daemon")
	flags.StringVar(&t.unit, "unit", "", "with --file: unit of lengths that have none: mm, in or um")
	flags.StringVar(&t.mpe, "mpe", "", "with --file: maximum permissible error, either side, such as 4um")
	flags.StringVar(&t.resolution, "resolution", "", "with --file: step of the gauge's display")
	flags.StringVar(&t.deviation, "deviation", "", "with --file: usual standard deviation of the gauge's repeats; needs --readings")
	flags.IntVar(&t.readings, "readings", 0, "with --file: number of repeats that --deviation comes from")
	flags.StringVar(&t.expansion, "expansion", "", "with --file: expansion of the gauge's scale, in 1e-6/K")
	a.Complete(cmd, "unit", app.Fixed(gauge.Symbols(gauge.KindLength)...))
}

// ability is what the flags say of the gauge.
func (t *checkTable) ability() (ability gauge.Ability, err error) {
	if t.unit != "" {
		if ability.Unit, err = gauge.ParseUnit(t.unit, gauge.KindLength); err != nil {
			return ability, app.Usagef("--unit: %w", err)
		}
	}
	above := func(flag, text string, into **gauge.Length) {
		if err != nil || text == "" {
			return
		}
		_, _, l, wrong := app.ExactSize(flag, text, ability.Unit)
		switch {
		case wrong != nil:
			err = wrong
		case l <= 0:
			err = app.Usagef("--%s %q is not a length above zero", flag, text)
		}
		*into = &l
	}
	var deviation *gauge.Length
	above("mpe", t.mpe, &ability.Error)
	above("resolution", t.resolution, &ability.Resolution)
	above("deviation", t.deviation, &deviation)
	switch {
	case err != nil:
		return ability, err
	case (deviation == nil) != (t.readings == 0) || deviation != nil && t.readings < 2:
		return ability, app.Usagef("--deviation and --readings go together: of how many repeats, 2 or more, is the deviation?")
	case deviation != nil:
		ability.Repeats = &gauge.Pooled{Deviation: *deviation, Freedom: t.readings - 1}
	}
	if t.expansion != "" {
		perKelvin, wrong := gauge.ParseLength(t.expansion, gauge.One)
		if wrong != nil {
			return ability, app.Usagef("--expansion %q is not a number", t.expansion)
		}
		ability.Expansion = &gauge.Expansion{PerKelvin: perKelvin}
		if err := ability.Expansion.Plausible(gauge.MostExpansion); err != nil {
			return ability, app.Usagef("--expansion: %w", err)
		}
	}
	return ability, nil
}

// checkFile evaluates the checks of a table. Nothing is stored.
func checkFile(a *app.App, t checkTable, f checkFlags) error {
	ability, err := t.ability()
	if err != nil {
		return err
	}
	temperature, err := wire.FromTemperature(f.temperature, f.tolerance)
	if err != nil {
		return app.UsageError{Err: err}
	}
	a.Running = true
	checks, err := readCheckReadings(t.file, ability.Unit, f.meant)
	if err != nil {
		return err
	}
	answer := &pb.ListChecksResponse{}
	for _, c := range checks {
		record, err := c.evaluated(check.Input{Temperature: temperature, Ability: ability})
		if err != nil {
			return fmt.Errorf("%s: %w", t.file, err)
		}
		record.By, record.Remark = f.by, f.remark
		answer.Checks = append(answer.Checks, wire.Check(record, c.unit))
	}
	if err := a.Show(answer, func(w io.Writer) { renderTable(w, answer.GetChecks()) }); err != nil {
		return err
	}
	for _, c := range answer.GetChecks() {
		what := "check"
		if c.GetOccasion() != "" {
			what += " " + c.GetOccasion()
		}
		if err := notPassed(what, t.file, lastResult(c).GetVerdict()); err != nil {
			return err
		}
	}
	return nil
}

// evaluated is the check with its results.
func (c *tableCheck) evaluated(in check.Input) (*check.Record, error) {
	record := &check.Record{Occasion: c.name}
	if len(c.found) == 0 {
		return nil, errors.New(c.titled() + " has no readings as found: leave the column state empty for them, or write found")
	}
	in.Points = c.found
	record.Result = check.Evaluate(in)
	if record.Result.Limit != nil && !record.Result.Known() {
		return nil, errors.New("nothing is known of how well the gauge repeats: write several readings for each master, or give --resolution or --deviation")
	}
	if len(c.left) > 0 {
		in.Points = c.left
		left := check.Evaluate(in)
		record.Left = &left
	}
	return record, nil
}

// renderTable writes the results of the checks of a table.
func renderTable(w io.Writer, checks []*pb.MasterCheck) {
	for i, c := range checks {
		if i > 0 {
			fmt.Fprintln(w)
		}
		if c.GetOccasion() != "" {
			fmt.Fprintf(w, "Check %s\n", c.GetOccasion())
		}
		renderResult(w, "As found", c.GetFound())
		if c.GetLeft() != nil {
			renderResult(w, "As left", c.GetLeft())
		}
	}
}
