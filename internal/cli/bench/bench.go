// Package bench has the commands for lines and bytes, which need no daemon: ports, listening,
// decoding, recording and playing again, simulated gauges, and values of a moving indicator.
package bench

import (
	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
)

// Commands are those of the bench.
func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{
		portsCommand(a), listenCommand(a), decodeCommand(a), recordCommand(a), replayCommand(a), simulateCommand(a), motionCommand(a),
	}
}
