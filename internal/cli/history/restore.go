package history

import (
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	store "gauged/internal/history"
)

// restored is what is shown.
type restored struct {
	History string `json:"history"`
	Facts   uint64 `json:"facts"`
	Digest  string `json:"digest"`
	Aside   string `json:"moved_aside,omitempty"` // where the history is that was there
}

func historyRestoreCommand(a *app.App) *cobra.Command {
	return &cobra.Command{
		Use:   "restore COPY HISTORY",
		Short: "Put a verified copy in the place of a history",
		Long: "Verify COPY, which history backup has written, and put it where the file HISTORY is or was.\n" +
			"Stop the daemon before: a history in use is refused. What is there is moved aside, not\n" +
			"deleted. Programs that follow the station are told that it gives numbers out again.",
		Example: "  gaugectl history restore /var/backups/gauged/history-20260302T070000Z.db /var/lib/gauged/history.db",
		Args:    app.Arguments(2, 2),
		RunE: func(cmd *cobra.Command, args []string) error {
			a.Running = true
			v, aside, err := store.Restore(cmd.Context(), args[0], args[1], time.Now())
			if err != nil {
				return err
			}
			r := restored{args[1], v.Facts, fmt.Sprintf("%x", v.Digest), aside}
			return a.ShowValue(r, func(w io.Writer) error {
				fmt.Fprintf(w, "%s has the history up to fact %d.\n", r.History, r.Facts)
				if aside != "" {
					fmt.Fprintf(w, "What was there is %s now.\n", aside)
				}
				return nil
			})
		},
	}
}
