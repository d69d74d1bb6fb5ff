// Package shop has the commands for the files of a shop: its procedures and parts, checked
// and evaluated without a daemon, and those that a daemon has.
package shop

import (
	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
)

// Commands are those of the shop's files.
func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{proceduresCommand(a), a.Group("procedure", "Show one procedure", procedureShowCommand(a)), evaluateCommand(a), checkCommand(a)}
}
