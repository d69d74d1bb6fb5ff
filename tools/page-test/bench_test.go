//go:build page

package pagetest

import (
	"crypto/tls"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"gauged/internal/devices"
	"gauged/internal/shopfile"
	"gauged/internal/simulate"
)

// bench is a station on simulated gauges, with the real daemon on it.
type bench struct {
	testing.TB
	*simulate.Bench
	dir    string
	url    string
	daemon *exec.Cmd     // nil while it is down
	gone   chan struct{} // closed when the daemon has ended
	log    *os.File
}

// newBench copies the station of these tests, plugs its gauges in and starts the
// daemon; edits are pairs of what to replace in the station's files.
func newBench(t testing.TB, edits ...string) *bench {
	t.Helper()
	return newBenchOf(t, "station", edits...)
}

// newDemo is the same with the station of the demonstration.
func newDemo(t testing.TB, edits ...string) *bench {
	t.Helper()
	return newBenchOf(t, "../../deploy/demo", append(edits,
		"  metrics: 127.0.0.1:9412\n", "", "127.0.0.1:7480", "127.0.0.1:PORT", "run/gauged.sock", "s", "run/gauges", "gauges", "run/history.db", "history.db")...)
}

func newBenchOf(t testing.TB, station string, edits ...string) *bench {
	t.Helper()
	if test, ok := t.(*testing.T); ok {
		test.Parallel() // each bench has its own daemon, and each screen its own profile
	}
	b := &bench{TB: t, dir: t.TempDir()}
	port := freePort(t)
	b.url = "http://127.0.0.1:" + port
	if slices.ContainsFunc(edits, func(edit string) bool { return strings.Contains(edit, "tls: ") }) {
		b.url = "https://127.0.0.1:" + port
	}
	b.copyStation(station, strings.NewReplacer(edits...), strings.NewReplacer("PORT", port))
	b.plugIn()
	var err error
	if b.log, err = os.Create(filepath.Join(b.dir, "gauged.log")); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		b.stop(syscall.SIGTERM)
		_ = b.log.Close()
		if content, err := os.ReadFile(b.log.Name()); t.Failed() && err == nil {
			t.Logf("what the daemon's log has above INFO:\n%s", aboveInfo(string(content)))
		}
	})
	b.start()
	return b
}

// aboveInfo leaves out what is usual, so that what went wrong is not far above it.
func aboveInfo(log string) string {
	return strings.Join(slices.DeleteFunc(strings.Split(log, "\n"), func(line string) bool { return strings.Contains(line, "level=INFO") }), "\n")
}

func freePort(t testing.TB) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	_, port, err := net.SplitHostPort(l.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	return port
}

func (b *bench) copyStation(from string, edit, named *strings.Replacer) {
	b.Helper()
	files, err := filepath.Glob(filepath.Join(from, "*.yaml"))
	for _, dir := range []string{"procedures", "parts"} {
		more, failed := filepath.Glob(filepath.Join(from, dir, "*.yaml"))
		if err != nil || failed != nil {
			b.Fatal(err, failed)
		}
		files = append(files, more...)
	}
	if len(files) < 4 {
		b.Fatalf("only %d files of a station", len(files))
	}
	for _, file := range files {
		content, err := os.ReadFile(file)
		if err != nil {
			b.Fatal(err)
		}
		to := filepath.Join(b.dir, strings.TrimPrefix(file, from))
		if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
			b.Fatal(err)
		}
		if err := os.WriteFile(to, []byte(named.Replace(edit.Replace(string(content)))), 0o644); err != nil {
			b.Fatal(err)
		}
	}
}

func (b *bench) plugIn() {
	b.Helper()
	layouts, err := devices.ShippedLayouts()
	if err != nil {
		b.Fatal(err)
	}
	name := filepath.Join(b.dir, "scenario.yaml")
	content, err := os.ReadFile(name)
	if err != nil {
		b.Fatal(err)
	}
	document := shopfile.Parse(name, content)
	gauges := simulate.ReadScenario(document.Root(), layouts.Find)
	if err := document.Err(); err != nil {
		b.Fatal(err)
	}
	plugs := filepath.Join(b.dir, "gauges")
	if err := os.MkdirAll(plugs, 0o755); err != nil {
		b.Fatal(err)
	}
	if b.Bench, err = simulate.Start(plugs, gauges); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() {
		if err := b.Bench.Close(); err != nil {
			b.Error(err)
		}
	})
}

// start starts the daemon and waits until its page answers.
func (b *bench) start() {
	b.Helper()
	b.daemon = exec.Command(filepath.Join(built, "gauged"), "--config", filepath.Join(b.dir, "station.yaml"))
	b.daemon.Stderr = b.log
	if err := b.daemon.Start(); err != nil {
		b.Fatalf("%v: make build makes it", err)
	}
	gone := make(chan struct{})
	go func(daemon *exec.Cmd) { _ = daemon.Wait(); close(gone) }(b.daemon)
	b.gone = gone
	b.await("the page answers", func() bool {
		select {
		case <-gone:
			b.Fatal("the daemon ended")
		default:
		}
		answer, err := impatient.Get(b.url)
		if err != nil {
			return false
		}
		_ = answer.Body.Close()
		return answer.StatusCode == http.StatusOK || answer.StatusCode == http.StatusUnauthorized // of a closed station
	})
}

// impatient asks a daemon whether it is there, whoever signed its certificate.
var impatient = http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true}}}

// stop ends the daemon with a signal and waits until it is gone.
func (b *bench) stop(signal syscall.Signal) {
	if b.daemon == nil {
		return
	}
	_ = b.daemon.Process.Signal(signal)
	<-b.gone
	b.daemon = nil
}

// hands does what a technician does with gauges, in the words of the simulator.
func (b *bench) hands(lines ...string) {
	b.Helper()
	for _, line := range lines {
		if err := b.Do(line); err != nil {
			b.Fatal(err)
		}
	}
}

// await polls until the condition holds.
func (b *bench) await(what string, holds func() bool) {
	b.Helper()
	for deadline := time.Now().Add(within); !holds(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(deadline) {
			b.Fatalf("waited in vain until %s", what)
		}
	}
}
