package access

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

func logCommand(a *app.App) *cobra.Command {
	l := &app.List{}
	cmd := &cobra.Command{
		Use: "log", Short: "Show the changes of who may come in, and who was refused", Args: app.Arguments(0, 0),
		Long: "Show the changes of who may come in, and who was refused: when, by whom, at which door,\n" +
			"what was asked for, and why. Of the same refusal one a minute is kept, with its count.",
		Example: "  gaugectl access log --since 7d\n  gaugectl access log --output csv > access.csv",
	}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
		return app.ShowList(ctx, a, d, cmd, l, d.Access.ListAccessEntries, &pb.ListAccessEntriesRequest{},
			func(w io.Writer, answer *pb.ListAccessEntriesResponse) { renderLog(w, answer.GetEntries()) })
	})
	l.Flags(cmd, true)
	return cmd
}

func renderLog(w io.Writer, entries []*pb.AccessEntry) {
	if len(entries) == 0 {
		fmt.Fprintln(w, "Nobody was refused, and nothing was changed.")
		return
	}
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "SEQ\tTIME\tEVENT\tWHO\tBY\tDOOR\tDETAILS")
		for _, e := range entries {
			fmt.Fprintf(tab, "%d\t%s\t%s\t%s\t%s\t%s\t%s\n", e.GetSeq(), show.TimeText(e.GetTime()), eventWord(e.GetEvent()),
				e.GetSubject(), show.OrDash(e.GetBy()), show.OrDash(e.GetDoor()), show.OrDash(details(e)))
		}
	})
}

func eventWord(e pb.AccessEvent) string {
	return strings.ToLower(strings.ReplaceAll(strings.TrimPrefix(e.String(), "ACCESS_EVENT_"), "_", " "))
}

// details is what there is to an entry besides.
func details(e *pb.AccessEntry) string {
	var all []string
	if e.GetName() != "" {
		all = append(all, e.GetName())
	}
	if e.GetRole() != pb.Role_ROLE_UNSPECIFIED {
		all = append(all, roleWord(e.GetRole()))
	}
	if e.GetEvent() != pb.AccessEvent_ACCESS_EVENT_REFUSED {
		return strings.Join(all, ", ")
	}
	return fmt.Sprintf("%s: %s (%s)", e.GetWhat(), show.Told(e.GetReason()), show.Plural(int(e.GetCount()), "time"))
}
