package app

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
)

// Document is a file that a command writes. Its --output is that file, and no form of output.
type Document struct {
	Ending  string
	Example string // its name without the ending, such as job-3
	to      string
}

// Flag gives a command the flag --output.
func (f *Document) Flag(cmd *cobra.Command) {
	cmd.Flags().StringVarP(&f.to, "output", "o", "", "file that it is written to; what was there is replaced")
}

// Named refuses what is no name of a file.
func (f *Document) Named() error {
	if f.to == "" || f.to == "-" {
		return Usagef("say the file that it is written to, such as --output %s.%s", f.Example, f.Ending)
	}
	if slices.Contains(Outputs, f.to) {
		return Usagef("it has no %s: --output is the file that it is written to, such as --output %s.%s", strings.ToUpper(f.to), f.Example, f.Ending)
	}
	return nil
}

// Write writes the file and tells that what is in it.
func (f *Document) Write(a *App, what string, content []byte) error {
	if err := ReplaceFile(f.to, content); err != nil {
		return err
	}
	fmt.Fprintf(a.Stderr, "gaugectl: %s is written to %s\n", what, f.to)
	return nil
}
