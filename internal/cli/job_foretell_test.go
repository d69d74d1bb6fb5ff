package cli

import (
	"slices"
	"strings"
	"testing"

	"gauged/internal/cli/app"
	"gauged/internal/cli/clitest"
)

// TestFitAsks: a part that is not the recommended one is foretold, and recorded only
// when that is said to be meant; the recommended one is recorded at once.
func TestFitAsks(t *testing.T) {
	const told = "R-186 of 1.860 mm would leave play 0.140 mm; the probability that it ends inside is 93 %; recommended is R-194.\n  ! R-186 was fitted, recommended was R-194\nIs it really fitted? y = yes, anything else = no.\n"
	for _, c := range []struct {
		stdin    string
		args     []string
		code     int
		stderr   string
		recorded bool
	}{
		{"", []string{"R-194"}, app.ExitFine, "", true},
		{"y\n", []string{"R-186"}, app.ExitFine, told, true},
		{"", []string{"R-186", "--yes"}, app.ExitFine, "", true},
		{"n\n", []string{"R-186"}, app.ExitFailure, told + "gaugectl: nothing was recorded; --yes records it without asking\n", false},
		{"", []string{"R-186"}, app.ExitFailure, told + "gaugectl: nothing was recorded; --yes records it without asking\n", false},
	} {
		socket := socketPath(t)
		f := newStation(clitest.FitPartJob())
		serve(t, f, socket)
		code, _, stderr := call(t, socket, c.stdin, append([]string{"job", "fit", "3"}, c.args...)...)
		if code != c.code || stderr != c.stderr || slices.Contains(f.calls, "fit") != c.recorded {
			t.Errorf("%q with %v: exit %d, calls %v, stderr %q, want %q", c.stdin, c.args, code, f.calls, stderr, c.stderr)
		}
	}
}

// TestRunAsksBeforeItFits: job run foretells, too, and a part that was not meant is
// asked for again.
func TestRunAsksBeforeItFits(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.FitPartJob())
	serve(t, f, socket)
	_, stdout, _ := call(t, socket, "\n\nR-186\n\nn\nR-194\n\nq\n", "job", "run", "--job", "3")
	if !strings.Contains(stdout, "would leave play 0.140 mm") || strings.Count(stdout, "Which part was fitted?") != 2 {
		t.Errorf("%s", stdout)
	}
	if got := strings.Join(f.calls, " "); got != "choose fit" {
		t.Errorf("calls: %s", got)
	}
}
