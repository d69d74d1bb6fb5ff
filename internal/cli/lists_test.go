package cli

import (
	"strings"
	"testing"

	"gauged/internal/cli/app"
	"gauged/internal/cli/clitest"
)

// TestPluralsList: the plural lists, the singular shows one, and who asks a list for one
// thing is told the command.
func TestPluralsList(t *testing.T) {
	socket := socketPath(t)
	serve(t, newStation(clitest.FitPartJob()), socket)
	for plural, one := range map[string]string{"jobs": "job show 3", "gauges": "gauge show depth-1", "procedures": "procedure show output-shaft", "studies": "study show 3"} {
		fields := strings.Fields(one)
		id := fields[len(fields)-1]
		want := "gaugectl: gaugectl " + plural + " lists them all; gaugectl " + one + " shows one (see gaugectl " + plural + " --help)\n"
		if code, _, stderr := call(t, socket, "", plural, id); code != app.ExitUsage || stderr != want {
			t.Errorf("%s %s: exit %d, %s", plural, id, code, stderr)
		}
	}
	for _, command := range Tree().Commands() {
		for _, sub := range command.Commands() {
			if sub.Name() == "list" {
				t.Errorf("%s: the plural lists", sub.CommandPath())
			}
		}
	}
	want := "gaugectl: --verdict chooses among the checks of one gauge: name the gauge (see gaugectl checks --help)\n"
	if code, _, stderr := call(t, socket, "", "checks", "--verdict", "fail"); code != app.ExitUsage || stderr != want {
		t.Errorf("exit %d, %s", code, stderr)
	}
}
