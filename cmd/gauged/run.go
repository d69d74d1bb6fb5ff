package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"

	"gauged/internal/config"
	"gauged/internal/devices"
	"gauged/internal/gauge"
	"gauged/internal/words"
)

// Exit codes of the daemon.
const (
	exitFine    = 0
	exitFailure = 1
	exitUsage   = 2
	exitConfig  = 78 // EX_CONFIG of sysexits.h: a service manager need not try again
)

const defaultConfig = "/etc/gauged/gauged.yaml"

// options are the flags; usage explains them.
type options struct {
	config                  string
	check, version, verbose bool
}

func newFlags(stderr io.Writer) (*flag.FlagSet, *options) {
	o := &options{}
	flags := flag.NewFlagSet("gauged", flag.ContinueOnError)
	flags.SetOutput(stderr)
	flags.Usage = func() {}
	flags.StringVar(&o.config, "config", defaultConfig, "")
	flags.BoolVar(&o.check, "check", false, "")
	flags.BoolVar(&o.version, "version", false, "")
	flags.BoolVar(&o.verbose, "verbose", false, "")
	return flags, o
}

// run is the whole program without its process.
func run(ctx context.Context, args []string, stdout, stderr io.Writer, getenv func(string) string) int {
	flags, o := newFlags(stderr)
	if err := flags.Parse(args); errors.Is(err, flag.ErrHelp) {
		fmt.Fprint(stdout, usage)
		return exitFine
	} else if err != nil {
		fmt.Fprintln(stderr, "gauged --help lists the flags")
		return exitUsage
	}
	if flags.NArg() > 0 {
		fmt.Fprintf(stderr, "gauged: unexpected %q; the daemon takes flags only\n", flags.Arg(0))
		return exitUsage
	}
	if o.version {
		fmt.Fprintln(stdout, "gauged", version())
		return exitFine
	}
	var hangup chan os.Signal
	if !o.check { // it would end the daemon until something waits for it
		hangup = make(chan os.Signal, 1)
		signal.Notify(hangup, syscall.SIGHUP)
		defer signal.Stop(hangup)
	}
	said := words.In(words.Locale(getenv))
	read := func(ctx context.Context) (*config.Config, error) { return load(ctx, o.config, getenv) }
	c, err := read(ctx)
	if err != nil && ctx.Err() != nil {
		fmt.Fprintln(stderr, said.Tell(gauge.Say("station.ended-early")))
		return exitFine
	}
	if err != nil {
		fmt.Fprintln(stderr, said.Error(err))
		return exitConfig
	}
	if o.check {
		for _, note := range checked(o.config, c) {
			fmt.Fprintln(stdout, said.Tell(note))
		}
		return exitFine
	}
	level := slog.LevelInfo
	if o.verbose {
		level = slog.LevelDebug
	}
	log := slog.New(slog.NewTextHandler(stderr, &slog.HandlerOptions{Level: level, ReplaceAttr: worded}))
	if err := serve(ctx, c, read, hangup, log); err != nil {
		log.Error("the daemon ends", "err", said.Error(err))
		return exitFailure
	}
	return exitFine
}

// checked is what there is to say of a configuration without problems.
func checked(path string, c *config.Config) []gauge.Message {
	notes := []gauge.Message{gauge.Say("station.fine", gauge.Text("file", path), gauge.Text("station", c.Station), gauge.Count("gauges", len(c.Gauges)), gauge.Count("procedures", len(c.Library.Procedures())))}
	for _, note := range []gauge.Message{c.IsOpen(), c.CannotKeep()} {
		if !note.IsZero() {
			notes = append(notes, note)
		}
	}
	for _, g := range c.Gauges {
		if devices.Renumbered(g.Port) {
			notes = append(notes, gauge.Say("station.renumbered", gauge.Text("gauge", g.ID), gauge.Text("port", g.Port)))
		}
	}
	return notes
}

// worded writes an error into the log as it is told, in English as all of the log.
func worded(_ []string, a slog.Attr) slog.Attr {
	if a.Value.Kind() != slog.KindAny {
		return a
	}
	if err, ok := a.Value.Any().(error); ok {
		a.Value = slog.StringValue(words.In(words.English).Error(err))
	}
	return a
}

// load reads the configuration and all files that it names. A disk that does not answer
// holds up nobody longer than ctx lasts.
func load(ctx context.Context, path string, getenv func(string) string) (*config.Config, error) {
	type outcome struct {
		c   *config.Config
		err error
	}
	loaded := make(chan outcome, 1)
	go func() {
		var o outcome
		defer func() {
			if p := recover(); p != nil {
				o.err = fmt.Errorf("%s: the files were not read to their end, which is a fault of the daemon: %v\n%s", path, p, debug.Stack())
			}
			loaded <- o
		}()
		o.c, o.err = config.Load(ctx, path, getenv)
	}()
	select {
	case o := <-loaded:
		return o.c, o.err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// version is the module's version, or the commit that it was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	v := info.Main.Version
	for _, s := range info.Settings {
		if s.Key == "vcs.modified" && s.Value == "true" {
			v += " (modified)"
		}
	}
	return v
}
