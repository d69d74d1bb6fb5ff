package main

import (
	"net/http"
	"net/http/httputil"
	"os"
	"strings"
	"testing"

	"gauged/internal/cli"
)

// TestTablesOfThePageCarryTheHead: the tables of jobs and of a recall come with the signed end of
// the history; the command finds it in the kept head of the answer, and that it agrees.
func TestTablesOfThePageCarryTheHead(t *testing.T) {
	page := freeAddress(t)
	tr := newTrial(t, `listen: {grpc: unix://s, page: "`+page+`"}
PROCEDURES
gauges:
  eye: {typed: yes, unit: mm, resolution: 0.001}
`)
	tr.start()
	gaugectl := func(args ...string) (int, string) {
		var out strings.Builder
		code := cli.Run(t.Context(), append([]string{"--address", "unix://" + tr.path("s")}, args...), strings.NewReader(""), &out, &out, noEnv)
		return code, out.String()
	}
	if code, text := gaugectl("job", "start", "output-shaft-ring", "--unit-serial", "U-1", "--by", "q", "--gauge", "case_depth=eye"); code != 0 {
		t.Fatal(text)
	}
	for _, path := range []string{"/jobs.csv", "/gauges/eye/recall.csv?go=1&error=0.008&unit=mm"} {
		answer, err := http.Get("http://" + page + path)
		if err != nil {
			t.Fatal(err)
		}
		head, err := httputil.DumpResponse(answer, false)
		_ = answer.Body.Close()
		if err != nil || answer.StatusCode != http.StatusOK {
			t.Fatal(answer.Status, err)
		}
		if err := os.WriteFile(tr.path("kept.head"), head, 0o600); err != nil {
			t.Fatal(err)
		}
		if code, text := gaugectl("history", "verify", "--head", tr.path("kept.head")); code != 0 || !strings.Contains(text, "head") {
			t.Errorf("%s: %d %s\n%s", path, code, text, head)
		}
	}
	http.DefaultClient.CloseIdleConnections()
}
