package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/cli/app"
	"gauged/internal/cli/clitest"

	pb "gauged/api/gauged/v1"
)

// TestExitCodes: a bad answer is not a call that failed, and neither is a mistake on
// the command line. The help and docs/commands.md have the same table.
func TestExitCodes(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.VerdictJob("0.310"))
	f.replay = &pb.ReplayVerdictsResponse{JobCount: 1, VerdictCount: 1, Differences: []string{"job 2"}}
	serve(t, f, socket)
	bad := filepath.Join(t.TempDir(), "p.yaml")
	if err := os.WriteFile(bad, []byte("procedure: p\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for args, want := range map[string]int{
		"gauges": 0, "master zero dial-2 --value 0.001mm --by q": 0, "check testdata/guarded/parts.yaml": 0,

		"job show 4": 1, "history file 00": 1, "check none.yaml": 1, "evaluate none.yaml none.csv": 1, "master void dial-2 90 --by q": 1, "master recalled dial-2 --by q": 1,

		"gauges --frob": 2, "gauges --output xml": 2, "job show first": 2, "nonsense": 2, "": 2,

		"gauges --address 127.0.0.1:1": 3, "watch --address 127.0.0.1:1": 3, "status --address 127.0.0.1:1": 3,

		"job verify 3": 4, "master record dial-2 --by q --at block-25=43,44": 4, "master zero dial-2 --by q --value 0.009mm": 4,
		"master check --file testdata/checks/dial.csv --unit mm --mpe 0.004 --resolution 0.001": 4, "master signs dial-2": 4,
		"history replay": 4, "recall dial-2 --error 8um": 4, "check " + bad: 4, "status": 4,
	} {
		if code, stdout, stderr := call(t, socket, "", strings.Fields(args)...); code != want {
			t.Errorf("%s: exit %d, want %d; %q, %q", args, code, want, stdout, stderr)
		}
	}
	if code, stdout, _ := call(t, socket, "OL\r\n", "decode", "--layout", "signed-line", "--unit", "mm"); code != app.ExitAnswerIsNo {
		t.Errorf("decode: exit %d, %s", code, stdout)
	}
}

// TestExitCodesAreExplained: in the help, and word by word in the documents.
func TestExitCodesAreExplained(t *testing.T) {
	_, stdout, _ := call(t, "/nowhere", "", "help", "exit-codes")
	if !strings.HasPrefix(stdout, app.ExitHelp) {
		t.Errorf("the help says %q", stdout)
	}
	doc, err := os.ReadFile("../../docs/commands.md")
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(app.ExitHelp) {
		if line = strings.TrimSpace(line); line != "" && line != "Exit codes:" && !strings.Contains(string(doc), line) {
			t.Errorf("docs/commands.md does not say %q", line)
		}
	}
}
