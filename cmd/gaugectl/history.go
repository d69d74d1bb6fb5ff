package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	pb "gauged/api/gauged/v1"
)

func (a *app) historyCommand() *cobra.Command {
	return a.group("history", "Read what the station has stored; nothing in it ever changes",
		a.historyReadingsCommand(), a.historyRejectsCommand(), a.historyJobCommand(),
		a.historyFileCommand(), a.historyReplayCommand())
}

// replayTimeout is how long a replay of the whole history may take when
// --timeout is not given.
const replayTimeout = 10 * time.Minute

func (a *app) historyJobCommand() *cobra.Command {
	return &cobra.Command{
		Use:               "job JOB",
		Short:             "Show every step of a job",
		Args:              arguments(1, 1),
		ValidArgsFunction: first(a.names(openJobs)),
		RunE: a.withDaemon(func(ctx context.Context, d *daemon, args []string) error {
			id, err := jobNumber(args[0])
			if err != nil {
				return err
			}
			answer, err := allJobFacts(ctx, d, id)
			if err != nil {
				return err
			}
			return a.show(answer, func(w io.Writer) { renderFacts(w, answer.GetFacts()) })
		}),
	}
}

func renderFacts(w io.Writer, facts []*pb.JobFact) {
	columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "SEQ\tTIME\tWHAT\tBY\tPARTICULARS (lengths in picometres)")
		for _, f := range facts {
			fmt.Fprintf(tab, "%d\t%s\t%s\t%s\t%s\n", f.GetSeq(), timeText(f.GetTime()), f.GetKind(), orDash(f.GetBy()), shortData(f.GetData()))
		}
	})
}

// shortData cuts particulars that do not fit a table, such as those of a
// verdict; JSON output has all of them.
func shortData(data string) string {
	const most = 100
	if len(data) <= most {
		return data
	}
	return strings.ToValidUTF8(data[:most], "") + "... (--output json shows all)"
}

func (a *app) historyFileCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "file HASH",
		Short: "Write a stored version of a procedure or part family, byte for byte",
		Args:  arguments(1, 1),
		RunE: a.withDaemon(func(ctx context.Context, d *daemon, args []string) error {
			answer, err := ask(ctx, d, d.history.GetFile, &pb.GetFileRequest{Hash: args[0]})
			if err != nil {
				return err
			}
			return a.show(answer, func(w io.Writer) { _, _ = w.Write(answer.GetContent()) })
		}),
	}
}

func (a *app) historyReplayCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "replay [JOB]",
		Short: "Compute every verdict again from the stored facts and compare",
		Long: "Compute every verdict again from the stored facts, with the file versions that were\n" +
			"in force, and compare it byte for byte with the stored one. Differences end it with 1.\n" +
			"Without --timeout it may take 10 minutes.",
		Args: arguments(0, 1),
	}
	cmd.RunE = a.withDaemon(func(ctx context.Context, d *daemon, args []string) error {
		request := &pb.ReplayVerdictsRequest{}
		if len(args) == 1 {
			id, err := jobNumber(args[0])
			if err != nil {
				return err
			}
			request.JobId = id
		}
		if !cmd.Flags().Changed("timeout") {
			d.timeout = replayTimeout
		}
		answer, err := ask(ctx, d, d.history.ReplayVerdicts, request)
		if err != nil {
			return err
		}
		return errors.Join(a.show(answer, func(w io.Writer) { renderReplay(w, answer) }), replayError(answer))
	})
	return cmd
}

func renderReplay(w io.Writer, r *pb.ReplayVerdictsResponse) {
	count := fmt.Sprintf("%s of %s computed again", plural(int(r.GetVerdicts()), "verdict"), plural(int(r.GetJobs()), "job"))
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
		return fmt.Errorf("%s came out otherwise than stored: keep the history file and look at the differences", plural(n, "verdict"))
	}
	return nil
}
