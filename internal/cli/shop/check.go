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
		Short: "Check configurations, layouts, procedures and part families",
		Long: "Check files as the daemon reads them. Every problem is reported with its place and\n" +
			"what to do. A directory stands for its *.yaml files.\n" +
			"\n" +
			"The kind of a file is told by its key: station, layout, procedure or family. The\n" +
			"examples of layouts and procedures are run. A procedure is checked with its part\n" +
			"family if that is among the files. The exit code is 4 when there are problems.",
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
	failed := a.ShowValue(noted(checked), func(w io.Writer) error {
		show.Columns(w, func(tab io.Writer) {
			for _, c := range checked {
				fine := "fine"
				if c.Partly {
					fine = "readable"
				}
				if note := show.Says(c.Note); note != "" {
					fine += ", " + note
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

// notedFile is a file that was read, with its note in words.
type notedFile struct {
	config.Checked
	Note string `json:"note,omitempty"`
}

func noted(checked []config.Checked) []notedFile {
	all := make([]notedFile, len(checked))
	for i, c := range checked {
		all[i] = notedFile{c, show.Says(c.Note)}
	}
	return all
}
