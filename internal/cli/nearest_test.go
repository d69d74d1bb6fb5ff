package cli

import (
	"strings"
	"testing"

	"gauged/internal/cli/app"
)

// TestTypos: a slip in a command, a flag or a word of a closed list names the nearest.
func TestTypos(t *testing.T) {
	for args, want := range map[string]string{
		"guages":                           `"guages" is not a command of gaugectl: did you mean gauges?`,
		"job strat":                        `"strat" is not a command of gaugectl job: did you mean start?`,
		"gauges --adress x":                `unknown flag: --adress: did you mean --address?`,
		"gauges --frobnicate":              "unknown flag: --frobnicate (see",
		"gauges --output jsno":             `--output "jsno" is not known: did you mean json?`,
		"gauges --output xml":              `--output "xml" is not known: use table, json or csv`,
		"drift --file x.csv --chart cusmu": `--chart "cusmu" is not known: did you mean cusum?`,
		"motion x.csv --kind tunr":         `--kind "tunr" is not known: did you mean turn?`,
		"study linearty d":                 `"linearty" is not a command of gaugectl study: did you mean linearity?`,
		"study record d --kind crosed --parts 3 --sheet none.csv":                  `--kind "crosed" is not known: did you mean crossed?`,
		"record x --port /dev/x --layout signed-line --unit mm --parity evn":       `--parity "evn" is not known: did you mean even?`,
		"record x --port /dev/x --layout signed-line --unit mm --handshake rts/ct": `--handshake "rts/ct" is not known: did you mean rts/cts?`,
	} {
		code, stdout, stderr := call(t, "/nowhere", "", strings.Fields(args)...)
		if code != app.ExitUsage || stdout != "" || !strings.Contains(stderr, want) {
			t.Errorf("%s: exit %d, %q; want %q", args, code, stderr, want)
		}
	}
	socket := socketPath(t)
	serve(t, newStation(closedJob()), socket)
	code, _, stderr := call(t, socket, "", "master", "standing", "dial-2", "suspct", "--by", "q", "--reason", "x")
	if code != app.ExitUsage || !strings.Contains(stderr, `the standing "suspct" is not known: did you mean suspect?`) {
		t.Errorf("exit %d, %s", code, stderr)
	}
}
