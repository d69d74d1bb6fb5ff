// Package history has the commands that read what was stored.
package history

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

// Command is the group of commands that read the history.
func Command(a *app.App) *cobra.Command {
	return a.Group("history", "Read what the station has stored",
		historyReadingsCommand(a), historyRejectsCommand(a), historyStatesCommand(a), historyStandingsCommand(a), historyJobCommand(a),
		historyFileCommand(a), historyReplayCommand(a), historyVerifyCommand(a),
		historyBackupCommand(a), historyRestoreCommand(a))
}

// replayTimeout is how long a replay of the whole history may take when
// --timeout is not given.
const replayTimeout = 10 * time.Minute

func historyJobCommand(a *app.App) *cobra.Command {
	l := &app.List{}
	cmd := &cobra.Command{
		Use:               "job JOB",
		Short:             "Show every step of a job",
		Args:              app.Arguments(1, 1),
		ValidArgsFunction: app.First(a.Names(app.OpenJobs)),
	}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
		id, err := app.JobNumber(args[0])
		if err != nil {
			return err
		}
		return app.ShowList(ctx, a, d, cmd, l, d.History.ListJobFacts, &pb.ListJobFactsRequest{JobId: id},
			func(w io.Writer, answer *pb.ListJobFactsResponse) { renderFacts(w, answer.GetFacts()) })
	})
	l.Flags(cmd, true)
	return cmd
}

func historyFileCommand(a *app.App) *cobra.Command {
	return &cobra.Command{
		Use:   "file HASH",
		Short: "Show a stored version of a procedure or part family",
		Args:  app.Arguments(1, 1),
		RunE: a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
			answer, err := app.Ask(ctx, d, d.History.GetFile, &pb.GetFileRequest{Hash: args[0]})
			if err != nil {
				return err
			}
			return a.Show(answer, func(w io.Writer) { _, _ = w.Write(answer.GetContent()) })
		}),
	}
}

func historyReplayCommand(a *app.App) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "replay [JOB]",
		Short: "Compute every verdict again and compare",
		Long: "Compute every verdict again from the stored facts, with the files that were in force.\n" +
			"Each is compared byte for byte with the stored one. The exit code is 4 when one\n" +
			"differs. Without --timeout it may take 10 minutes.",
		Args: app.Arguments(0, 1),
	}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
		request := &pb.ReplayVerdictsRequest{}
		if len(args) == 1 {
			id, err := app.JobNumber(args[0])
			if err != nil {
				return err
			}
			request.JobId = id
		}
		if !cmd.Flags().Changed("timeout") {
			d.Timeout = replayTimeout
		}
		answer, err := app.Ask(ctx, d, d.History.ReplayVerdicts, request)
		if err != nil {
			return err
		}
		return errors.Join(a.Show(answer, func(w io.Writer) { renderReplay(w, answer) }), replayError(answer))
	})
	return cmd
}

func renderReplay(w io.Writer, r *pb.ReplayVerdictsResponse) {
	count := fmt.Sprintf("%s of %s computed again", show.Plural(int(r.GetVerdictCount()), "verdict"), show.Plural(int(r.GetJobCount()), "job"))
	if len(r.GetDifferences()) == 0 {
		fmt.Fprintf(w, "All verdicts agree: %s.\n", count)
		return
	}
	fmt.Fprintf(w, "Verdicts differ: %s.\n", count)
	for _, difference := range r.GetDifferences() {
		fmt.Fprintln(w, "  "+difference)
	}
}

func replayError(r *pb.ReplayVerdictsResponse) error {
	if n := len(r.GetDifferences()); n > 0 {
		return app.NotPassedf("%s differ from the stored result: keep the history file and look at the differences", show.Plural(n, "verdict"))
	}
	return nil
}
