// Package cli is gaugectl: it puts the groups of commands together, each a package of
// its own, and runs one command line.
package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"gauged/internal/cli/access"
	"gauged/internal/cli/app"
	"gauged/internal/cli/bench"
	"gauged/internal/cli/drift"
	"gauged/internal/cli/exits"
	"gauged/internal/cli/export"
	"gauged/internal/cli/gauges"
	"gauged/internal/cli/history"
	"gauged/internal/cli/job"
	"gauged/internal/cli/master"
	"gauged/internal/cli/recall"
	"gauged/internal/cli/shop"
	"gauged/internal/cli/status"
	"gauged/internal/cli/study"
)

// Run executes one command line and returns the exit code.
func Run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer, getenv func(string) string) int {
	a := &app.App{Stdin: stdin, Stdout: stdout, Stderr: stderr, Getenv: getenv, Machine: "/"}
	a.Retry = app.Waits{First: 250 * time.Millisecond, Longest: 5 * time.Second}
	return execute(a, ctx, args)
}

// Tree is every command, for what is written about them.
func Tree() *cobra.Command {
	return rootCommand(&app.App{Stdin: strings.NewReader(""), Stdout: io.Discard, Stderr: io.Discard, Getenv: func(string) string { return "" }})
}

func execute(a *app.App, ctx context.Context, args []string) int {
	out := app.NewScreen(a.Stdout)
	a.Stdout, a.Stderr = out, app.NewScreen(a.Stderr)
	root := rootCommand(a)
	root.SetArgs(guardNegative(args))
	cmd, err := root.ExecuteContextC(ctx)
	switch lost := out.Failed(); {
	case lost != nil && (err == nil || errors.Is(err, app.ErrAnswerIsNo) || errors.Is(err, lost)):
		err = fmt.Errorf("the answer could not be written whole: %w", lost)
	case err != nil && !a.Running:
		err = app.UsageError{Err: err}
	}
	code := app.ExitCode(err)
	if code != app.ExitFine && (code != app.ExitAnswerIsNo || errors.As(err, new(app.NotPassed))) {
		complain(a, cmd, err)
	}
	return code
}

// complain writes err, one line for each problem that it names.
func complain(a *app.App, cmd *cobra.Command, err error) {
	text := app.PlainText(err)
	switch {
	case errors.Is(err, context.Canceled):
		text = "interrupted"
	case errors.As(err, new(app.UsageError)):
		text += fmt.Sprintf(" (see %s --help)", cmd.CommandPath())
	}
	for line := range strings.Lines(text) {
		fmt.Fprintln(a.Stderr, "gaugectl:", strings.TrimRight(line, "\r\n"))
	}
}

// guardNegative keeps values such as -0.05 from being taken for flags: with a
// space in front they are arguments, and whoever reads them trims it. No flag
// begins with a digit or a point.
func guardNegative(args []string) []string {
	guarded := make([]string, len(args))
	for i, arg := range args {
		if len(arg) > 1 && arg[0] == '-' && strings.ContainsRune(".0123456789", rune(arg[1])) {
			arg = " " + arg
		}
		guarded[i] = arg
	}
	return guarded
}

func rootCommand(a *app.App) *cobra.Command {
	root := a.Group("gaugectl", "Gauges, jobs and history of a measuring bench",
		job.JobsCommand(a), job.Command(a), history.Command(a), export.Command(a), master.Command(a), study.StudiesCommand(a), study.Command(a), drift.Command(a), recall.Command(a), status.Command(a), access.Command(a), exits.ListCommand(a), exits.Command(a), master.MastersCommand(a), master.ChecksCommand(a), versionCommand(a))
	root.AddCommand(gauges.Commands(a)...)
	root.AddCommand(shop.Commands(a)...)
	root.AddCommand(bench.Commands(a)...)
	root.Long = "gaugectl shows the gauges of a measuring bench and runs its jobs. A job measures a\n" +
		"gap, fits the graded part that sets end play or preload, and proves it.\n" +
		"\n" +
		"The maker's manual for the unit comes first. What is shown here is a calculation; the\n" +
		"qualified person decides.\n" +
		"\n" +
		"gaugectl help exit-codes explains the exit codes."
	root.AddCommand(&cobra.Command{Use: "exit-codes", Short: "What the exit codes say", Long: app.ExitHelp})
	root.SetIn(a.Stdin)
	root.SetOut(a.Stdout)
	root.SetErr(a.Stderr)
	root.InitDefaultCompletionCmd() // it writes where output goes by now
	root.InitDefaultHelpCmd()
	for name, why := range map[string]string{"completion": "it is a script for a shell", "help": "it is a text for a person"} {
		if cmd, _, err := root.Find([]string{name}); err == nil {
			cmd.Annotations = map[string]string{app.TableOnly: why, app.OnlyGroup: "yes"}
			if name == "help" {
				cmd.Args = aboutCommand(root)
			}
		}
	}
	root.SetFlagErrorFunc(app.NearestFlag)
	root.SilenceUsage, root.SilenceErrors = true, true
	flags := root.PersistentFlags()
	flags.StringVar(&a.Address, "address", "", "the daemon: unix:///path, /path or host:port\n"+
		"(default $GAUGECTL_ADDRESS, else the socket in $XDG_RUNTIME_DIR/gauged, else "+app.SystemSocket+")")
	flags.StringVar(&a.Files.Token, "token-file", "", "file with the secret of a token to show (default $GAUGECTL_TOKEN_FILE)")
	flags.StringVar(&a.Files.CA, "ca", "", "file with the authorities of the daemon's certificate\n(default $GAUGECTL_CA, else those of the system)")
	flags.StringVar(&a.Files.Certificate, "certificate", "", "file with a client certificate to show (default $GAUGECTL_CERTIFICATE)")
	flags.StringVar(&a.Files.Key, "key", "", "file with the key of the client certificate (default $GAUGECTL_KEY)")
	flags.StringVarP(&a.Output, "output", "o", app.OutputTable, "output form: table, json or csv")
	flags.DurationVar(&a.Timeout, "timeout", 10*time.Second, "longest time to wait for an answer of the daemon")
	a.Complete(root, "output", app.Fixed(app.Outputs...))
	root.PersistentPreRunE = func(cmd *cobra.Command, _ []string) error { return checkFlags(a, cmd) }
	return root
}

// aboutCommand refuses the help of a command that there is not, as calling it does.
func aboutCommand(root *cobra.Command) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		at := root
		for _, arg := range args {
			i := slices.IndexFunc(at.Commands(), func(c *cobra.Command) bool { return c.Name() == arg })
			if i < 0 && at.HasSubCommands() && at.Annotations[app.OnlyGroup] != "" {
				return at.RunE(at, []string{arg})
			}
			if i < 0 {
				return nil
			}
			at = at.Commands()[i]
		}
		return nil
	}
}

func checkFlags(a *app.App, cmd *cobra.Command) error {
	if err := a.TakeOutput(cmd); err != nil {
		return err
	}
	if a.Timeout <= 0 {
		return fmt.Errorf("--timeout %v leaves no time for an answer: use a time such as 10s", a.Timeout)
	}
	return nil
}
