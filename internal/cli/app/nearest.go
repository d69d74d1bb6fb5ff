package app

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"gauged/internal/gauge"
)

// NotOneOf refuses a word of a closed list, such as the value of a flag. It names the
// nearest word and those there are.
func NotOneOf(what, word string, words []string) error {
	use := strings.Join(words, ", ")
	if last := len(words) - 1; last > 0 {
		use = strings.Join(words[:last], ", ") + " or " + words[last]
	}
	if near := gauge.Nearest(word, words); near != "" {
		return Usagef("%s %q is not known: did you mean %s? Use %s", what, word, near, use)
	}
	return Usagef("%s %q is not known: use %s", what, word, use)
}

// NearestFlag adds to the error of a flag that is not known the one that was
// perhaps meant. A value that is no number is said without the words of a program.
func NearestFlag(cmd *cobra.Command, err error) error {
	var number *strconv.NumError
	if value := new(pflag.InvalidValueError); errors.As(err, &value) && errors.As(err, &number) {
		return fmt.Errorf("--%s %q is not a whole number from 0 on: write digits alone", value.GetFlag().Name, strings.TrimSpace(value.GetValue()))
	}
	var unknown *pflag.NotExistError
	if !errors.As(err, &unknown) || len(unknown.GetSpecifiedName()) < 2 {
		return err
	}
	var names []string
	add := func(f *pflag.Flag) { names = append(names, f.Name) }
	cmd.Flags().VisitAll(add)
	cmd.InheritedFlags().VisitAll(add)
	if near := gauge.Nearest(unknown.GetSpecifiedName(), names); near != "" {
		return fmt.Errorf("%w: did you mean --%s?", err, near)
	}
	return err
}
