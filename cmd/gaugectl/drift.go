package main

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"gauged/internal/drift"
	"gauged/internal/gauge"
)

// driftFlags are the flags of drift.
type driftFlags struct {
	mpe      string
	unit     string
	columns  []string
	baseline int
	svg      string
}

func (a *app) driftCommand() *cobra.Command {
	var f driftFlags
	cmd := &cobra.Command{
		Use:   "drift CHECKS.csv",
		Short: "Say from a gauge's checks how its error moves and when to check again",
		Long: "Say from the checks of one gauge how fast its error moves and when it reaches the\n" +
			"maximum permissible error, whether it jumped between two checks, what control charts\n" +
			"point at, and how long the next interval may be. No daemon is needed, nothing is stored,\n" +
			"and no job's verdict depends on it; docs/drift.md explains each number.\n\n" +
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
			"  gaugectl drift depth-1.csv --column error=deviation --baseline 8 --svg depth-1.svg",
		Args: arguments(1, 1),
	}
	cmd.Flags().StringVar(&f.mpe, "mpe", "", "maximum permissible error, either side, in the unit of the errors")
	cmd.Flags().StringVar(&f.unit, "unit", "", "unit of all errors of the file and of --mpe: mm, in or um; without it they are shown as numbers")
	cmd.Flags().StringArrayVar(&f.columns, "column", nil, "COLUMN=NAME where the file names a column otherwise")
	cmd.Flags().IntVar(&f.baseline, "baseline", drift.UsualBaseline, fmt.Sprintf("first checks that the limits of the charts are made from, %d or more", drift.LeastBaseline))
	cmd.Flags().StringVar(&f.svg, "svg", "", "write the chart to this file too, as SVG")
	a.complete(cmd, "unit", fixed(gauge.Symbols(gauge.KindLength)...))
	cmd.RunE = func(_ *cobra.Command, args []string) error {
		names, options, err := f.parse()
		if err != nil {
			return err
		}
		a.running = true
		return a.drift(args[0], f, names, options)
	}
	return cmd
}

// parse checks the flags and returns the names of the columns in the file.
func (f driftFlags) parse() (map[string]string, drift.Options, error) {
	o := drift.Options{Baseline: f.baseline}
	names := map[string]string{}
	for _, text := range f.columns {
		column, name, ok := strings.Cut(text, "=")
		if !ok || name == "" || !slices.Contains(checkColumns, column) {
			return nil, o, fmt.Errorf("--column %q: write COLUMN=NAME, where COLUMN is %s", text, strings.Join(checkColumns, ", "))
		}
		names[column] = name
	}
	if f.unit != "" {
		if _, err := gauge.ParseUnit(f.unit, gauge.KindLength); err != nil {
			return nil, o, fmt.Errorf("--unit: %w", err)
		}
	}
	if f.baseline < drift.LeastBaseline {
		return nil, o, fmt.Errorf("--baseline %d: limits need %d checks or more", f.baseline, drift.LeastBaseline)
	}
	if f.mpe != "" {
		var err error
		if o.MPE, err = strconv.ParseFloat(f.mpe, 64); err != nil || !(o.MPE > 0) || o.MPE > largest {
			return nil, o, fmt.Errorf("--mpe %q is not a number above 0: write it as 0.008, in the unit of the errors", f.mpe)
		}
	}
	return names, o, nil
}

func (a *app) drift(name string, f driftFlags, columns map[string]string, o drift.Options) error {
	checks, unused, err := readChecks(name, columns)
	if err != nil {
		return err
	}
	r, err := drift.NewReview(checks, o)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	view := driftView{Review: r, Unit: f.unit, Unused: unused, checks: checks}
	picture := view.chart()
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
