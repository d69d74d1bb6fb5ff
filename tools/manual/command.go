package main

import (
	"fmt"
	"regexp"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"gauged/internal/cli/app"
)

// documented are the commands that have a page, or a part of one.
func documented(of *cobra.Command) (all []*cobra.Command) {
	for _, cmd := range of.Commands() {
		if cmd.IsAvailableCommand() && cmd.Name() != "completion" && cmd.Name() != "help" {
			all = append(all, cmd)
		}
	}
	return all
}

// gaugectl is the page that names all commands.
func gaugectl(tree *cobra.Command) []byte {
	r := newPage("gaugectl", "1", tree.Short)
	r.section("SYNOPSIS")
	r.line(bold("gaugectl") + ` \fICOMMAND\fR [\fIARGUMENT\fR...] [\fIFLAG\fR...]`)
	r.section("DESCRIPTION")
	r.text(tree.Long)
	r.section("COMMANDS")
	for _, cmd := range documented(tree) {
		r.item(fmt.Sprintf(`\fBgaugectl\-%s\fR(1)`, escaped(cmd.Name())), escaped(cmd.Short)+".")
	}
	r.section("FLAGS OF ALL COMMANDS")
	r.flags(tree.PersistentFlags())
	r.section("ENVIRONMENT")
	r.text(app.EnvironmentHelp)
	r.section("EXIT STATUS")
	_, codes, _ := strings.Cut(app.ExitHelp, "\n")
	r.text(codes)
	r.section("SEE ALSO")
	see := []string{`\fBgauged\fR(8)`}
	for _, f := range fileFormats {
		see = append(see, `\fB`+escaped(f.name)+`\fR(5)`)
	}
	r.line(strings.Join(see, ",\n"))
	return r.Bytes()
}

// command is the page of a command, with a part for each below it.
func command(cmd *cobra.Command) []byte {
	r := newPage("gaugectl-"+cmd.Name(), "1", strings.ToLower(cmd.Short[:1])+cmd.Short[1:])
	subs := documented(cmd)
	r.section("SYNOPSIS")
	for _, c := range append([]*cobra.Command{cmd}, subs...) {
		if c == cmd && len(subs) > 0 && cmd.Annotations[app.OnlyGroup] != "" {
			continue
		}
		r.apart(".br")
		r.line(bold(usage(c)))
	}
	r.section("DESCRIPTION")
	r.text(long(cmd))
	if cmd.HasAvailableLocalFlags() {
		r.section("FLAGS")
		r.flags(cmd.LocalFlags())
	}
	if len(subs) > 0 {
		r.section("COMMANDS")
	}
	for _, sub := range subs {
		r.part(usage(sub))
		r.text(long(sub))
		r.flags(sub.LocalNonPersistentFlags())
		r.examples(sub)
	}
	if cmd.Example != "" {
		r.section("EXAMPLES")
		r.examples(cmd)
	}
	r.section("SEE ALSO")
	r.line(`\fBgaugectl\fR(1) has the flags of all commands and the exit codes.`)
	return r.Bytes()
}

func (r *roff) examples(cmd *cobra.Command) {
	if cmd.Example == "" {
		return
	}
	var lines []string
	for line := range strings.Lines(cmd.Example) {
		lines = append(lines, strings.TrimSpace(line))
	}
	r.literal(lines)
}

// usage is the line that shows how a command is written.
func usage(cmd *cobra.Command) string { return strings.TrimSuffix(cmd.UseLine(), " [flags]") }

// long is the text of a command.
func long(cmd *cobra.Command) string {
	if cmd.Long != "" {
		return cmd.Long
	}
	return cmd.Short + "."
}

var spaces = regexp.MustCompile(`\s+`)

// flags writes the flags of a set, but for help.
func (r *roff) flags(flags *pflag.FlagSet) {
	flags.VisitAll(func(f *pflag.Flag) {
		if f.Name == "help" || f.Hidden {
			return
		}
		value, text := pflag.UnquoteUsage(f)
		term := bold("--" + f.Name)
		if f.Shorthand != "" {
			term = bold("-"+f.Shorthand) + ", " + term
		}
		if value != "" {
			term += ` \fI` + escaped(value) + `\fR`
		}
		text = spaces.ReplaceAllString(text, " ")
		if given(f) {
			text += " (default " + f.DefValue + ")"
		}
		r.item(term, escaped(text))
	})
}

// given says that the default of a flag is a value of its own.
func given(f *pflag.Flag) bool {
	switch f.DefValue {
	case "", "0", "false", "[]", "0s":
		return false
	}
	return true
}
