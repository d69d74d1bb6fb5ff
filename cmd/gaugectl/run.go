package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"
)

// app is one call of gaugectl.
type app struct {
	stdin          io.Reader
	stdout, stderr io.Writer
	getenv         func(string) string
	retry          waits  // between tries to get a lost connection back
	machine        string // root of the file system in which ports are looked for

	address string
	output  string
	timeout time.Duration

	// running is set when a command's own work begins: what fails before that
	// is the command line.
	running bool
}

// run executes one command line and returns the exit code.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer, getenv func(string) string) int {
	a := &app{stdin: stdin, stdout: stdout, stderr: stderr, getenv: getenv, machine: "/"}
	a.retry = waits{first: 250 * time.Millisecond, longest: 5 * time.Second}
	return a.run(ctx, args)
}

func (a *app) run(ctx context.Context, args []string) int {
	root := a.rootCommand()
	root.SetArgs(guardNegative(args))
	cmd, err := root.ExecuteContextC(ctx)
	if err != nil && !a.running {
		err = usageError{err}
	}
	code := exitCode(err)
	if code != exitFine && code != exitNotConforming {
		a.complain(cmd, err)
	}
	return code
}

// complain writes err, one line for each problem that it names.
func (a *app) complain(cmd *cobra.Command, err error) {
	text := err.Error()
	switch {
	case errors.Is(err, context.Canceled):
		text = "interrupted"
	case errors.As(err, new(usageError)):
		text += fmt.Sprintf(" (see %s --help)", cmd.CommandPath())
	}
	for line := range strings.Lines(text) {
		fmt.Fprintln(a.stderr, "gaugectl:", strings.TrimRight(line, "\r\n"))
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

func (a *app) rootCommand() *cobra.Command {
	root := a.group("gaugectl", "Gauges, jobs and history of a measuring bench",
		a.gaugesCommand(), a.watchCommand(), a.proceduresCommand(), a.jobCommand(), a.historyCommand(),
		a.evaluateCommand(), a.motionCommand(), a.driftCommand(), a.checkCommand(), a.decodeCommand(), a.portsCommand(), a.listenCommand(), a.recordCommand(), a.replayCommand(), a.simulateCommand(), a.studyCommand(), a.masterCommand(), a.recallCommand(), a.versionCommand())
	root.Long = "gaugectl shows the gauges of a measuring bench and runs its jobs: measure a gap, fit\n" +
		"the graded part that sets end play or preload, and prove it.\n\n" +
		"The maker's manual for the unit comes first. What is shown here is a calculation;\n" +
		"the qualified person decides.\n\n" + exitHelp
	root.SilenceUsage, root.SilenceErrors = true, true
	root.SetIn(a.stdin)
	root.SetOut(a.stdout)
	root.SetErr(a.stderr)
	flags := root.PersistentFlags()
	flags.StringVar(&a.address, "address", "", "address of the daemon: unix:///path, /path or host:port\n"+
		"(default $GAUGECTL_ADDRESS, else the socket in $XDG_RUNTIME_DIR/gauged, else "+systemSocket+")")
	flags.StringVarP(&a.output, "output", "o", outputTable, "form of the output: table or json (the messages of the API)")
	flags.DurationVar(&a.timeout, "timeout", 10*time.Second, "longest wait for one answer of the daemon")
	a.complete(root, "output", fixed(outputTable, outputJSON))
	root.PersistentPreRunE = func(cmd *cobra.Command, _ []string) error { return a.checkFlags(cmd) }
	return root
}

func (a *app) checkFlags(cmd *cobra.Command) error {
	if a.output != outputTable && a.output != outputJSON {
		return fmt.Errorf("--output %q is not known: use table or json", a.output)
	}
	if why, ok := cmd.Annotations[withoutJSON]; ok && a.output == outputJSON {
		return fmt.Errorf("%s has no JSON: %s; leave --output out", cmd.CommandPath(), why)
	}
	if a.timeout <= 0 {
		return fmt.Errorf("--timeout %v leaves no time for an answer: use a time such as 10s", a.timeout)
	}
	return nil
}

// group returns a command that only holds others, and says so when it is
// called without one of them.
func (a *app) group(use, short string, subs ...*cobra.Command) *cobra.Command {
	cmd := &cobra.Command{Use: use, Short: short, Args: cobra.ArbitraryArgs}
	cmd.AddCommand(subs...)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		var names []string
		for _, sub := range cmd.Commands() {
			if sub.IsAvailableCommand() {
				names = append(names, sub.Name())
			}
		}
		if len(args) == 0 {
			return fmt.Errorf("say what to do: %s", strings.Join(names, ", "))
		}
		return fmt.Errorf("%q is not a command of %s; there are %s", args[0], cmd.CommandPath(), strings.Join(names, ", "))
	}
	return cmd
}

// arguments refuses a command line with fewer or more arguments.
func arguments(least, most int) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if n := len(args); n < least || n > most {
			return fmt.Errorf("%s given: write %s", plural(n, "argument"), cmd.UseLine())
		}
		return nil
	}
}

// work is what a command does with the daemon.
type work func(ctx context.Context, d *daemon, args []string) error

// withDaemon returns the RunE of a command that talks to the daemon.
func (a *app) withDaemon(do work) func(*cobra.Command, []string) error {
	return func(cmd *cobra.Command, args []string) error {
		a.running = true
		d, err := a.connect()
		if err != nil {
			return err
		}
		defer d.close()
		return d.explain(do(cmd.Context(), d, args))
	}
}
