package app

import (
	"context"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"gauged/internal/cli/show"
	"gauged/internal/dial"
	"gauged/internal/gauge"
)

// App is one call of gaugectl.
type App struct {
	Stdin          io.Reader
	Stdout, Stderr io.Writer
	Getenv         func(string) string
	Retry          Waits  // between tries to get a lost connection back
	Machine        string // root of the file system in which ports are looked for

	Address string
	Files   dial.Files // what is shown to the daemon, and trusted of it
	Output  string
	Timeout time.Duration

	// running is set when a command's own work begins: what fails before that
	// is the command line.
	Running bool
}

// OnlyGroup annotates a command that does nothing but hold others.
const OnlyGroup = "only a group"

// Group returns a command that only holds others, and says so when it is
// called without one of them.
func (a *App) Group(use, short string, subs ...*cobra.Command) *cobra.Command {
	cmd := &cobra.Command{Use: use, Short: short, Args: cobra.ArbitraryArgs, Annotations: map[string]string{OnlyGroup: "yes"}}
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
		if near := gauge.Nearest(args[0], names); near != "" {
			return fmt.Errorf("%q is not a command of %s: did you mean %s? There are %s", args[0], cmd.CommandPath(), near, strings.Join(names, ", "))
		}
		return fmt.Errorf("%q is not a command of %s; there are %s", args[0], cmd.CommandPath(), strings.Join(names, ", "))
	}
	return cmd
}

// Arguments refuses a command line with fewer or more arguments.
func Arguments(least, most int) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if n := len(args); n < least || n > most {
			return fmt.Errorf("%s given: write %s", show.Plural(n, "argument"), cmd.UseLine())
		}
		return nil
	}
}

// Lists refuses arguments of a command that lists: one shows a single thing.
func Lists(one string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return nil
		}
		return fmt.Errorf("%s lists them all; gaugectl %s %s shows one", cmd.CommandPath(), one, args[0])
	}
}

// work is what a command does with the daemon.
type work func(ctx context.Context, d *Daemon, args []string) error

// WithDaemon returns the RunE of a command that talks to the daemon.
func (a *App) WithDaemon(do work) func(*cobra.Command, []string) error {
	return func(cmd *cobra.Command, args []string) error {
		a.Running = true
		d, err := a.connect()
		if err != nil {
			return err
		}
		defer func() { _ = d.Close() }()
		return d.Explain(do(cmd.Context(), d, args))
	}
}
