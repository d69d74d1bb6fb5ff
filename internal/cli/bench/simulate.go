package bench

import (
	"context"
	"errors"
	"fmt"
	"os"

	"gauged/internal/readfile"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/devices"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
	"gauged/internal/simulate"
)

func simulateCommand(a *app.App) *cobra.Command {
	var dir string
	var layouts []string
	cmd := &cobra.Command{
		Use:         "simulate SCENARIO.yaml --dir DIR",
		Annotations: app.Talks,
		Short:       "Simulate gauges, to try a station without real ones",
		Long: "Play the gauges of a scenario on pseudo-terminals. The port of each gauge is the link\n" +
			"DIR/NAME, which the station's configuration names. The gauges stay until you interrupt\n" +
			"them, even when the input ends.\n" +
			"\n" +
			"Commands on the standard input:" +
			"\n" + simulate.Commands,
		Args: app.Arguments(1, 1),
	}
	cmd.Flags().StringVar(&dir, "dir", "", "directory for the links; it is made if missing")
	cmd.Flags().StringArrayVar(&layouts, "layout", nil, "another layout file; may be repeated")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		a.Running = true
		if dir == "" {
			return app.Usagef("say where the links to the gauges go: --dir DIR")
		}
		gauges, err := readScenario(args[0], layouts)
		if err != nil {
			return err
		}
		return simulateGauges(a, cmd.Context(), dir, gauges)
	}
	return cmd
}

// readScenario reads the gauges of a scenario file. Their layouts are the
// shipped ones and those of the named files.
func readScenario(file string, layoutFiles []string) ([]simulate.Gauge, error) {
	layouts, err := devices.ShippedLayouts()
	if err != nil {
		return nil, err
	}
	for _, name := range layoutFiles {
		content, err := readfile.Whole(name, app.LongestFile)
		if err != nil {
			return nil, err
		}
		layout, err := devices.ParseLayout(name, content)
		if err != nil {
			return nil, err
		}
		if err := layouts.Add(layout); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
	}
	content, err := readfile.Whole(file, app.LongestFile)
	if err != nil {
		return nil, err
	}
	document := shopfile.Parse(file, content)
	gauges := simulate.ReadScenario(document.Root(), layouts.Find)
	return gauges, document.Err()
}

// simulate plays the gauges until ctx ends or the input says quit.
func simulateGauges(a *app.App, ctx context.Context, dir string, gauges []simulate.Gauge) (err error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	bench, err := simulate.Start(dir, gauges)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, bench.Close()) }()
	for _, g := range gauges {
		fmt.Fprintf(a.Stdout, "%s is at %s: %s, %s\n", g.Name, bench.Line(g.Name).Link(), g.Layout.Name, g.Mode)
	}
	lines := app.ReadLines(ctx, a.Stdin)
	for {
		select {
		case <-ctx.Done():
			return nil
		case line, more := <-lines:
			if !more {
				lines = nil // the gauges stay until they are interrupted
				continue
			}
			err := bench.Do(line)
			if errors.Is(err, simulate.ErrQuit) {
				return nil
			}
			if err != nil {
				fmt.Fprintln(a.Stderr, "gaugectl:", show.Says(gauge.Told(err)))
			}
		}
	}
}
