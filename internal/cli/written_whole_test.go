package cli

import (
	"errors"
	"strings"
	"testing"

	"gauged/internal/cli/app"
	"gauged/internal/cli/clitest"
)

// full is a disk without room.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left on device") }

// TestAFullDisk: whoever keeps an answer in a file hears of it when it is not whole.
func TestAFullDisk(t *testing.T) {
	socket := socketPath(t)
	serve(t, newStation(clitest.MeasuringJob()), socket)
	for _, command := range []string{"gauges", "gauge show depth-1", "jobs", "job show 3", "checks", "checks depth-1", "procedures", "status", "version", "help", "exit-codes", "completion bash", "jobs --help"} {
		for _, output := range app.Outputs {
			args := strings.Fields(command)
			if code, _, _ := call(t, socket, "", append(args, "--output", output)...); code == app.ExitUsage {
				continue // it has tables alone
			}
			var stderr strings.Builder
			code := invoke(t.Context(), socket, strings.NewReader(""), full{}, &stderr, append(args, "--output", output)...)
			if code != app.ExitFailure || !strings.Contains(stderr.String(), "no space left on device") {
				t.Errorf("%s as %s: exit %d, %q", command, output, code, stderr.String())
			}
		}
	}
}

// TestTimesAndSizesOfLists: an empty time is refused instead of standing for everything, the last day
// of all is one, and a size that is no number is said in the words of the shop.
func TestTimesAndSizesOfLists(t *testing.T) {
	socket := socketPath(t)
	serve(t, newStation(clitest.MeasuringJob()), socket)
	for _, c := range []struct {
		args string
		code int
		says string
	}{
		{"jobs --since=", app.ExitUsage, `--since "" is not a time`},
		{"jobs --until=", app.ExitUsage, `--until "" is not a time`},
		{"jobs --until 9999-12-31", app.ExitFine, ""},
		{"jobs --since 0000-01-01", app.ExitUsage, "is not a time"},
		{"jobs --page-size -1", app.ExitUsage, "it is not a whole number such as 50"},
		{"jobs --page-size 2", app.ExitFine, ""},
	} {
		code, _, stderr := call(t, socket, "", strings.Fields(c.args)...)
		if code != c.code || !strings.Contains(stderr, c.says) || strings.Contains(stderr, "strconv") {
			t.Errorf("%s: exit %d, %q", c.args, code, stderr)
		}
	}
}

// TestNoLineEndsInCells: a serial number with a line end is one line of CSV too.
func TestNoLineEndsInCells(t *testing.T) {
	socket := socketPath(t)
	j := clitest.MeasuringJob()
	j.UnitSerial = "AX-7\n999\tx\x1b[31m"
	serve(t, newStation(j), socket)
	code, stdout, _ := call(t, socket, "", "jobs", "--output", "csv")
	if code != app.ExitFine || !strings.Contains(stdout, `AX-7\n999\tx\x1b[31m`) || strings.Contains(stdout, "AX-7\n") {
		t.Errorf("exit %d, %q", code, stdout)
	}
}
