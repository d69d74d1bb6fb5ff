package cli

import (
	"context"
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
	"time"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"

	pb "gauged/api/gauged/v1"
)

func versionCommand(a *app.App) *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Show the versions of gaugectl and of the daemon",
		Args:  app.Arguments(0, 0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			said := versions{Version: version(), Daemon: daemonVersion(a, cmd)}
			return a.ShowValue(said, func(w io.Writer) error {
				fmt.Fprintln(w, said.Version)
				if said.Daemon != nil {
					fmt.Fprintf(w, "gauged %s, station %s, contract %s\n", said.Daemon.Version, said.Daemon.Station, said.Daemon.Contract)
				}
				return nil
			})
		},
	}
}

// versions are those of the two programs.
type versions struct {
	Version string  `json:"version"`
	Daemon  *daemon `json:"daemon"` // nil: none answers
}

type daemon struct {
	Version  string `json:"version"`
	Station  string `json:"station"`
	Contract string `json:"contract"`
}

// versionTimeout is how long the answer of a daemon is waited for; without one the version
// of gaugectl is shown alone.
const versionTimeout = time.Second

func daemonVersion(a *app.App, cmd *cobra.Command) (found *daemon) {
	_ = a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
		d.Timeout = min(d.Timeout, versionTimeout)
		answer, err := app.Ask(ctx, d, d.Server.GetServerInfo, &pb.GetServerInfoRequest{})
		if err == nil {
			found = &daemon{answer.GetVersion(), answer.GetStation(), answer.GetContract()}
		}
		return err
	})(cmd, nil)
	return found
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
