// Package exits has the commands that lead what the station hands on to other systems.
package exits

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

// Command is the group of commands that lead one exit.
func Command(a *app.App) *cobra.Command {
	return a.Group("exit", "Pause or resume an exit, and send again what it gave up",
		pauseCommand(a), resumeCommand(a), lettersCommand(a), sendCommand(a))
}

// ListCommand shows all exits.
func ListCommand(a *app.App) *cobra.Command {
	l := &app.List{}
	cmd := &cobra.Command{
		Use: "exits", Short: "Show what the station hands on, and how far", Args: app.Arguments(0, 0),
		Long: "Show where the station hands on what happens, as its file says, and how far it is.\n" +
			"It says what waits, what failed last and why, and what was given up.",
	}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
		return app.ShowList(ctx, a, d, cmd, l, d.Exits.ListExits, &pb.ListExitsRequest{},
			func(w io.Writer, answer *pb.ListExitsResponse) { renderExits(w, answer.GetExits()...) })
	})
	l.Flags(cmd, false)
	return cmd
}

func renderExits(w io.Writer, all ...*pb.Exit) {
	if len(all) == 0 {
		fmt.Fprintln(w, "There are no exits: the station's file names none.")
		return
	}
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "EXIT\tADDRESS\tEVENTS\tSTATE\tDONE TO\tBEHIND\tGIVEN UP\tTRIES AGAIN\tWHY")
		for _, e := range all {
			fmt.Fprintf(tab, "%s\t%s\t%s\t%s\t%d\t%d\t%d\t%s\t%s\n", e.GetExitId(), e.GetAddress(), eventWords(e.GetEventKinds()), stateText(e),
				e.GetAfterSeq(), e.GetBehindCount(), e.GetDeadLetterCount(), show.OrDash(show.TimeText(e.GetRetryTime())), show.OrDash(show.Told(e.GetFailure())))
		}
	})
}

func eventWords(kinds []pb.ExitEventKind) string {
	var words []string
	for _, k := range kinds {
		words = append(words, eventWord(k))
	}
	return strings.Join(words, ", ")
}

func eventWord(k pb.ExitEventKind) string {
	return strings.ToLower(strings.TrimPrefix(k.String(), "EXIT_EVENT_KIND_"))
}

// stateText is how an exit stands, and by whom it is paused.
func stateText(e *pb.Exit) string {
	text := strings.ToLower(strings.TrimPrefix(e.GetState().String(), "EXIT_STATE_"))
	if e.GetState() != pb.ExitState_EXIT_STATE_PAUSED {
		return text
	}
	if e.GetPausedBy() == "" {
		return text + " by its receiver"
	}
	return text + " by " + e.GetPausedBy()
}

func pauseCommand(a *app.App) *cobra.Command {
	var by string
	cmd := &cobra.Command{
		Use: "pause EXIT", Short: "Have an exit hand on nothing until it is resumed", Args: app.Arguments(1, 1),
		Long: "Have an exit hand on nothing until it is resumed. It keeps its place, also when the daemon\n" +
			"is started again: nothing is left out.",
	}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
		answer, err := app.Ask(ctx, d, d.Exits.PauseExit, &pb.PauseExitRequest{ExitId: args[0], By: a.By(by)})
		if err != nil {
			return err
		}
		return a.Show(answer, func(w io.Writer) { renderExits(w, answer.GetExit()) })
	})
	app.ByFlag(cmd.Flags(), &by, "who pauses it")
	return cmd
}

func resumeCommand(a *app.App) *cobra.Command {
	var by string
	cmd := &cobra.Command{
		Use: "resume EXIT", Short: "Have an exit go on, or try again at once", Args: app.Arguments(1, 1),
		Long: "Have a paused exit go on where it is. One that waits before it tries again tries at once.\n" +
			"What it could not hand on so far is tried for the whole time again.",
	}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
		answer, err := app.Ask(ctx, d, d.Exits.ResumeExit, &pb.ResumeExitRequest{ExitId: args[0], By: a.By(by)})
		if err != nil {
			return err
		}
		return a.Show(answer, func(w io.Writer) { renderExits(w, answer.GetExit()) })
	})
	app.ByFlag(cmd.Flags(), &by, "who has it go on")
	return cmd
}

func lettersCommand(a *app.App) *cobra.Command {
	l := &app.List{}
	cmd := &cobra.Command{
		Use: "letters EXIT", Short: "Show what an exit gave up", Args: app.Arguments(1, 1),
		Long: "Show the events that an exit gave up, because its receiver did not take them for days.\n" +
			"They stay until they are sent again: gaugectl exit send.",
	}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
		return app.ShowList(ctx, a, d, cmd, l, d.Exits.ListDeadLetters, &pb.ListDeadLettersRequest{ExitId: args[0]},
			func(w io.Writer, answer *pb.ListDeadLettersResponse) { renderLetters(w, answer.GetDeadLetters()) })
	})
	l.Flags(cmd, false)
	return cmd
}

func renderLetters(w io.Writer, letters []*pb.DeadLetter) {
	if len(letters) == 0 {
		fmt.Fprintln(w, "Nothing was given up.")
		return
	}
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "SEQ\tEVENT\tTIME\tGIVEN UP\tWHY")
		for _, l := range letters {
			fmt.Fprintf(tab, "%d\t%s\t%s\t%s\t%s\n", l.GetSeq(), eventWord(l.GetEventKind()), show.TimeText(l.GetTime()), show.TimeText(l.GetGiveUpTime()), show.Told(l.GetFailure()))
		}
	})
}

func sendCommand(a *app.App) *cobra.Command {
	var by string
	var all bool
	cmd := &cobra.Command{
		Use: "send EXIT [SEQ...]", Short: "Send again what an exit gave up", Args: app.Arguments(1, 1001),
		Long: "Send events again that an exit gave up: those of the numbers SEQ, or all of them. When one\n" +
			"is not taken it stays, and the rest is not tried: gaugectl exit letters shows it.",
		Example: "  gaugectl exit send orders 4711 4712\n  gaugectl exit send orders --all",
	}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
		request := &pb.SendDeadLettersRequest{ExitId: args[0], By: a.By(by)}
		for _, arg := range args[1:] {
			seq, err := strconv.ParseUint(strings.TrimSpace(arg), 10, 64)
			if err != nil || seq == 0 {
				return app.Usagef("%q is no number of an event: gaugectl exit letters %s shows them", arg, args[0])
			}
			request.Seqs = append(request.Seqs, seq)
		}
		if all == (len(request.Seqs) > 0) {
			return app.Usagef("say which: numbers of events, or --all")
		}
		answer, err := app.Ask(ctx, d, d.Exits.SendDeadLetters, request)
		if err != nil {
			return err
		}
		return a.Show(answer, func(w io.Writer) {
			fmt.Fprintf(w, "%s sent again, one after the other\n", show.Counted(answer.GetCount(), "event"))
		})
	})
	cmd.Flags().BoolVar(&all, "all", false, "all that the exit gave up")
	app.ByFlag(cmd.Flags(), &by, "who has them sent")
	return cmd
}
