package job

import (
	"testing"

	"gauged/internal/cli/app"
)

func TestStartNeedsATechnician(t *testing.T) {
	_, err := (&startFlags{serial: "TC-0412"}).request("output-shaft", "")
	want := "say who works on it: --by NAME, or set GAUGECTL_BY"
	if app.ExitCode(err) != app.ExitUsage || err.Error() != want {
		t.Errorf("%v (exit %d), want %q", err, app.ExitCode(err), want)
	}
}
