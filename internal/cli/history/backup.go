package history

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"

	pb "gauged/api/gauged/v1"
)

func historyBackupCommand(a *app.App) *cobra.Command {
	return &cobra.Command{
		Use:   "backup PATH",
		Short: "Write a verified copy of the history while the daemon runs",
		Long: "Have the daemon write a copy of its history to PATH, on its own machine, and verify it.\n" +
			"Readings are stored meanwhile. In a directory the copy gets a name with the time. Nothing is\n" +
			"overwritten.\n" +
			"\n" +
			"The daemon writes it with its own rights, below its own directories. Its answer has the head of\n" +
			"the copy: keep it elsewhere, and history verify --head proves the copy with it.",
		Example: "  gaugectl history backup /var/backups/gauged/",
		Args:    app.Arguments(1, 1),
		RunE: a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
			path, err := backupPath(args[0], time.Now())
			if err != nil {
				return err
			}
			d.Timeout = max(d.Timeout, longTimeout) // the flag may ask for more
			answer, err := app.Ask(ctx, d, d.History.BackUpHistory, &pb.BackUpHistoryRequest{Path: path})
			if err != nil {
				return err
			}
			return a.Show(answer, func(w io.Writer) {
				fmt.Fprintf(w, "%s has the history up to fact %d, %d bytes, and was verified.\n%s\n", path, answer.GetHead().GetSeq(), answer.GetHistoryBytes(), answer.GetHead().GetLine())
			})
		}),
	}
}

// backupPath is the absolute path of the copy.
func backupPath(given string, now time.Time) (string, error) {
	path, err := filepath.Abs(given)
	if err != nil {
		return "", err
	}
	info, err := os.Stat(path)
	if strings.HasSuffix(given, string(filepath.Separator)) || err == nil && info.IsDir() {
		path = filepath.Join(path, "history-"+now.UTC().Format("20060102T150405Z")+".db")
	}
	return path, nil
}
