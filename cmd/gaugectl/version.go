package main

import (
	"encoding/json"
	"fmt"
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"
)

func (a *app) versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Say which gaugectl this is",
		Args:  arguments(0, 0),
		RunE: func(*cobra.Command, []string) error {
			a.running = true
			if a.output == outputJSON {
				return json.NewEncoder(a.stdout).Encode(map[string]string{"version": version()})
			}
			_, err := fmt.Fprintln(a.stdout, version())
			return err
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
