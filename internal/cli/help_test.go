package cli

import (
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"gauged/internal/cli/app"
)

// mostWords is how long a sentence of a help text may be.
const mostWords = 25

// helpItem is the term of a list in a help text.
var helpItem = regexp.MustCompile(`(?m)^ +\S(?:.*?\S)? {2,}`)

// sentencesOf are those of a help text, whose lists have one at each item at least.
func sentencesOf(text string) (all []string) {
	text = helpItem.ReplaceAllString(text, "\n\n")
	ends := regexp.MustCompile(`\n\s*\n|[.?!]["')]*(?:\s|$)`)
	for _, s := range ends.Split(text, -1) {
		if words := strings.Fields(s); len(words) > 0 {
			all = append(all, strings.Join(words, " "))
		}
	}
	return all
}

// eachCommand calls f for every command that the help lists, and those below it.
func eachCommand(of *cobra.Command, f func(*cobra.Command)) {
	f(of)
	for _, cmd := range of.Commands() {
		if cmd.Name() != "completion" && cmd.Name() != "help" {
			eachCommand(cmd, f)
		}
	}
}

// TestHelpIsPlain: no sentence of a help text is long, each command and flag is
// explained, a short text begins with a capital and has no full stop, and whoever does
// something is always named by --by.
func TestHelpIsPlain(t *testing.T) {
	found := 0
	eachCommand(Tree(), func(cmd *cobra.Command) {
		texts := []string{cmd.Short, cmd.Long}
		cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
			texts = append(texts, f.Usage)
			if f.Usage == "" || strings.Contains(f.Name, "technician") {
				t.Errorf("%s: --%s %q", cmd.CommandPath(), f.Name, f.Usage)
			}
		})
		if s := cmd.Short; s == "" || s[:1] != strings.ToUpper(s[:1]) || strings.HasSuffix(s, ".") || len(s) > 80 {
			t.Errorf("%s: the short text is %q", cmd.CommandPath(), s)
		}
		for _, text := range texts {
			for _, s := range sentencesOf(text) {
				found++
				if n := len(strings.Fields(s)); n > mostWords {
					t.Errorf("%s: a sentence of %d words, want %d at most: %s", cmd.CommandPath(), n, mostWords, s)
				}
			}
		}
	})
	for _, text := range []string{app.ExitHelp, app.EnvironmentHelp} {
		for _, s := range sentencesOf(text) {
			if n := len(strings.Fields(s)); n > mostWords {
				t.Errorf("a sentence of %d words: %s", n, s)
			}
		}
	}
	if found < 300 {
		t.Errorf("%d sentences were found: this test no longer finds them", found)
	}
}
