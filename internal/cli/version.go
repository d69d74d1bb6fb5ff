package cli

import (
	"fmt"
	"io"
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
)

func versionCommand(a *app.App) *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Show the version of gaugectl",
		Args:  app.Arguments(0, 0),
		RunE: func(*cobra.Command, []string) error {
			a.Running = true
			return a.ShowValue(struct {
				Version string `json:"version"`
			}{version()}, func(w io.Writer) error {
				_, err := fmt.Fprintln(w, version())
				return err
			})
		},
	}
}

// version tells what the linker knows about the build.
func version() string {
	text := "gaugectl"
	if info, ok := debug.ReadBuildInfo(); ok {
		text += " " + info.Main.Version
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" {
				text += " " + s.Value
			}
		}
	}
	return fmt.Sprintf("%s %s %s/%s", text, runtime.Version(), runtime.GOOS, runtime.GOARCH)
}
