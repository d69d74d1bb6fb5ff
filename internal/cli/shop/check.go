package shop

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/config"
)

func checkCommand(a *app.App) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "check FILE...",
		Short: "Check station configurations, layouts, procedures and part families",
		Long: "Check files as the daemon would read them, and report every problem with its place and\n" +
			"what to do. A directory stands for its *.yaml files. What a file is, its key tells:\n" +
			"station, layout, procedure or family. A layout's examples are run. A procedure is\n" +
			"checked against its part family when that is among the files, and its examples are run.",
		Example: "  gaugectl check procedures parts station.yaml",
		Args:    app.Arguments(1, 1000),
	}
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		a.Running = true
		return checkFiles(a, cmd.Context(), args)
	}
	return cmd
}

func checkFiles(a *app.App, ctx context.Context, paths []string) error {
	checked, err := config.Check(ctx, paths, a.Getenv)
	failed := a.ShowValue(append([]config.Checked{}, checked...), func(w io.Writer) error {
		show.Columns(w, func(tab io.Writer) {
			for _, c := range checked {
				fine := "fine"
				if c.Partly {
					fine = "readable"
				}
				if c.Note != "" {
					fine += ", " + c.Note
				}
				fmt.Fprintf(tab, "%s\t%s %s\t%s\t\n", c.Path, c.Kind, c.ID, fine)
			}
		})
		return nil
	})
	unread := slices.ContainsFunc(paths, func(path string) bool { _, err := os.Stat(path); return err != nil })
	if failed != nil || err == nil || unread || errors.Is(err, context.Canceled) {
		return errors.Join(err, failed)
	}
	return app.NotPassed{Err: err}
}
