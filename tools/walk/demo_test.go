//go:build walk

package walk

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// newDemo runs a copy of the shipped demonstration to the end of its two jobs,
// with addresses of its own, and leaves its station up. Edits are pairs of what to
// replace in its scenario.
func newDemo(t *testing.T, edits ...string) *site {
	t.Helper()
	dir := t.TempDir()
	s := &site{TB: t, name: "demo", dir: filepath.Join(dir, "deploy", "demo")}
	shipped := filepath.Join(root(t), "deploy", "demo")
	copyFiles(t, shipped, s.dir, "demo.sh", "station.yaml", "scenario.yaml", "procedures/*.yaml", "parts/*.yaml")
	if err := os.Symlink(filepath.Dir(program(t, "gauged")), filepath.Join(dir, "bin")); err != nil {
		t.Fatal(err)
	}
	page, metrics := freeAddress(t), freeAddress(t)
	edit(t, filepath.Join(s.dir, "station.yaml"), "127.0.0.1:7480", page, "127.0.0.1:9412", metrics)
	edit(t, filepath.Join(s.dir, "scenario.yaml"), edits...)
	s.page, s.metrics = "http://"+page, "http://"+metrics
	s.socket = filepath.Join(s.dir, "run", "gauged.sock")
	s.log = filepath.Join(s.dir, "run", "gauged.log")
	start(t, filepath.Join(dir, "demo.txt"), "The station stays up", exec.Command("bash", filepath.Join(s.dir, "demo.sh"), "--keep"))
	return s
}

// hands does what a technician does with a gauge of the demonstration.
func (s *site) hands(line string) {
	s.Helper()
	f, err := os.OpenFile(filepath.Join(s.dir, "run", "hands"), os.O_WRONLY, 0)
	if err != nil {
		s.Fatal(err)
	}
	defer f.Close()
	if _, err := f.WriteString(line + "\n"); err != nil {
		s.Fatal(err)
	}
}

// shows waits until a gauge that sends by itself shows digits that begin so.
func (s *site) shows(gauge, digits string) {
	s.Helper()
	await(s, gauge+" shows "+digits, func() bool {
		for line := range strings.Lines(s.gaugectl("gauges")) {
			f := strings.Fields(line)
			if len(f) > 2 && f[0] == gauge && strings.HasPrefix(f[2], digits) {
				return true
			}
		}
		return false
	})
}
