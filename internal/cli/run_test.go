package cli

import (
	"bytes"
	"context"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"go.uber.org/goleak"

	"gauged/internal/cli/app"
)

var update = flag.Bool("update", false, "write the golden files anew")

// TestMain sets the clocks one hour before UTC, so that a table that shows UTC is seen.
func TestMain(m *testing.M) {
	time.Local = time.FixedZone("", 3600)
	goleak.VerifyTestMain(m)
}

// output collects what is written and can be waited for.
type output struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (o *output) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.text.Write(p)
}

func (o *output) String() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.text.String()
}

// await fails the test when the output does not have all of the texts in time.
func (o *output) await(t *testing.T, texts ...string) {
	t.Helper()
	deadline := time.Now().Add(20 * time.Second)
	for _, text := range texts {
		for !strings.Contains(o.String(), text) {
			if time.Now().After(deadline) {
				t.Fatalf("%q did not come; there is:\n%s", text, o.String())
			}
			time.Sleep(2 * time.Millisecond)
		}
	}
}

// awaitCount fails the test when a text does not come so often in time.
func (o *output) awaitCount(t *testing.T, text string, n int) {
	t.Helper()
	for deadline := time.Now().Add(20 * time.Second); strings.Count(o.String(), text) < n; time.Sleep(2 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("%q did not come %d times; there is:\n%s", text, n, o.String())
		}
	}
}

// socketPath returns a path that is short enough for a socket.
func socketPath(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "ctl")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return filepath.Join(dir, "s")
}

// invoke runs one command line against the socket.
func invoke(ctx context.Context, socket string, stdin io.Reader, stdout, stderr io.Writer, args ...string) int {
	a := &app.App{
		Stdin: stdin, Stdout: stdout, Stderr: stderr,
		Retry: app.Waits{First: time.Millisecond, Longest: 20 * time.Millisecond},
		Getenv: func(name string) string {
			return map[string]string{"GAUGECTL_ADDRESS": socket, "GAUGECTL_BY": "J. Mercer"}[name]
		},
	}
	return execute(a, ctx, args)
}

// call runs a command line to its end.
func call(t *testing.T, socket, input string, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, err output
	code = invoke(t.Context(), socket, strings.NewReader(input), &out, &err, args...)
	return code, out.String(), err.String()
}

// golden compares with a file in testdata.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name+".golden")
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v: go test ./internal/cli -update writes it", err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s (-want +got):\n%s", path, diff)
	}
}
