//go:build walk

package walk

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"gauged/internal/gauge"
)

// The pages for each user show a session, in indented blocks. It is played by a
// shell, line by line:
//
//	$ COMMAND          is run
//	> TEXT             is typed into it
//	(measure GAUGE at VALUE, press)   is done with a simulated gauge
//	(GAUGE at VALUE)   the same of a gauge that sends by itself
//	# COMMAND          is for root, and passed over
//	...                passes over what the command prints
//	anything else      must be printed, in this order
//
// In a line "..." stands for anything, and so do numbers of the history, hashes
// and times.

// guided is what a page shows: its sessions as one, and the files that it has one write.
type guided struct {
	page  string
	lines []string
	files map[string]string
}

// guideOf reads a page. A block after a line that ends with a name in code marks
// and a colon is that file; all other blocks are the session.
func guideOf(t testing.TB, page string) guided {
	t.Helper()
	content, err := os.ReadFile(filepath.Join(root(t), "docs", page))
	if err != nil {
		t.Fatal(err)
	}
	g := guided{page: page, files: map[string]string{}}
	named, file := regexp.MustCompile("`([^`]+)`:$"), ""
	for line := range strings.Lines(string(content)) {
		text, block := strings.CutPrefix(line, "    ")
		switch {
		case block && file != "" && strings.HasPrefix(text, "$ "):
			t.Fatalf("%s: say something between the file %s and %s", page, file, text)
		case block && file != "":
			g.files[file] += text
		case block:
			g.lines = append(g.lines, strings.TrimRight(text, "\n"))
		case strings.TrimSpace(line) == "":
			if file != "" && g.files[file] != "" {
				g.files[file] += "\n"
			}
		default:
			file = ""
			if m := named.FindStringSubmatch(strings.TrimSpace(line)); m != nil {
				file = m[1]
			}
		}
	}
	for file, content := range g.files {
		g.files[file] = strings.TrimRight(content, "\n") + "\n"
	}
	if !slices.ContainsFunc(g.lines, func(line string) bool { return strings.HasPrefix(line, "$ ") }) {
		t.Fatalf("%s shows no session", page)
	}
	return g
}

// play plays the session of a page at a station.
func (s *site) play(page string) {
	s.Helper()
	g := guideOf(s, page)
	var p *played
	for i, line := range g.lines {
		at := fmt.Sprintf("%s: %s", page, line)
		switch command, isCommand := strings.CutPrefix(line, "$ "); {
		case isCommand:
			if p != nil {
				p.end()
			}
			p = s.begin(at, command, g.lines[i+1:])
		case strings.HasPrefix(line, "> "):
			p.typed(strings.TrimPrefix(line, "> "))
		case line == ">":
			p.typed("")
		case strings.HasPrefix(line, "# "): // for root, at a real machine
		case strings.HasPrefix(line, "("):
			s.handled(at, line)
		case strings.TrimSpace(line) != "" && strings.TrimSpace(line) != "...":
			p.prints(at, line)
		}
	}
	p.end()
}

// handled does what a line in brackets says.
func (s *site) handled(at, line string) {
	s.Helper()
	if m := regexp.MustCompile(`^\(measure (\S+) at (\S+), press\)$`).FindStringSubmatch(line); m != nil {
		s.hands("set " + m[1] + " " + m[2])
		time.Sleep(gauge.PressedTwiceWithin) // the next part comes under the gauge meanwhile
		s.hands("press " + m[1])
		return
	}
	m := regexp.MustCompile(`^\((\S+) at (\S+)\)$`).FindStringSubmatch(line)
	if m == nil {
		s.Fatalf("%s: nobody can do that", at)
	}
	s.hands("set " + m[1] + " " + m[2])
	s.shows(m[1], m[2])
}

// played is a command that runs.
type played struct {
	*site
	at    string
	cmd   *exec.Cmd
	stdin io.WriteCloser
	out   *collected
	seen  int // how much of what it printed has been looked at
	over  chan struct{}
}

// collected is what a command prints, read while it runs.
type collected struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (c *collected) Write(p []byte) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.b.Write(p)
}

func (c *collected) String() string {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.b.String()
}

// begin starts a command of a session. One that is typed into later in the
// session keeps its standard input open.
func (s *site) begin(at, command string, rest []string) *played {
	s.Helper()
	p := &played{site: s, at: at, out: &collected{}, over: make(chan struct{})}
	if name, value, found := strings.Cut(strings.TrimPrefix(command, "export "), "="); found && strings.HasPrefix(command, "export ") {
		s.exports = append(s.exports, name+"="+os.Expand(value, func(string) string { return s.dir })) // of $PWD, for all that follow
	}
	p.cmd = exec.CommandContext(s.Context(), "bash", "-c", "set -euo pipefail\n"+strings.NewReplacer(append(s.edits, "http://127.0.0.1:7480", s.page)...).Replace(command))
	p.cmd.Dir = s.dir
	p.cmd.Env = append(os.Environ(), "GAUGECTL_ADDRESS=unix://"+s.socket, "PATH="+filepath.Join(root(s), "bin")+":"+os.Getenv("PATH"))
	p.cmd.Env = append(p.cmd.Env, s.exports...)
	p.cmd.Stdout, p.cmd.Stderr = p.out, p.out
	var err error
	if p.stdin, err = p.cmd.StdinPipe(); err != nil {
		s.Fatal(err)
	}
	if err := p.cmd.Start(); err != nil {
		s.Fatalf("%s: %v", at, err)
	}
	go func() { defer close(p.over); _ = p.cmd.Wait() }()
	next := slices.IndexFunc(rest, func(line string) bool { return strings.HasPrefix(line, "$ ") })
	if next < 0 {
		next = len(rest)
	}
	if !slices.ContainsFunc(rest[:next], func(line string) bool { return strings.HasPrefix(line, ">") }) {
		_ = p.stdin.Close()
	}
	return p
}

func (p *played) typed(text string) {
	p.Helper()
	if _, err := io.WriteString(p.stdin, text+"\n"); err != nil {
		p.Fatalf("%s: %v after\n%s", p.at, err, p.out)
	}
}

// prints waits until the command has printed a line that fits, after those before.
func (p *played) prints(at, line string) {
	p.Helper()
	want := pattern(line)
	deadline := time.Now().Add(within)
	for {
		ended := false
		select {
		case <-p.over:
			ended = true
		default:
		}
		rest := p.out.String()[p.seen:]
		for begin := 0; begin < len(rest); {
			end := strings.IndexByte(rest[begin:], '\n')
			if end < 0 && !ended {
				break
			}
			if end < 0 {
				end = len(rest) - begin
			}
			if want.MatchString(strings.Join(strings.Fields(rest[begin:begin+end]), " ")) {
				p.seen += min(begin+end+1, len(rest))
				return
			}
			begin += end + 1
		}
		if ended || time.Now().After(deadline) {
			p.Fatalf("%s\nis not what it prints, which after the line before is\n%s", at, rest)
		}
		time.Sleep(10 * time.Millisecond)
	}
}

// end waits until the command has ended by itself.
func (p *played) end() {
	p.Helper()
	_ = p.stdin.Close()
	select {
	case <-p.over:
	case <-time.After(within):
		p.Fatalf("%s does not end; it printed\n%s", p.at, p.out)
	}
	if found := wrong(p.out.String()); found != "" {
		p.Errorf("%s: %s", p.at, found)
	}
}

// loose are the parts of a line that differ each time: numbers of the history,
// hashes, times with their zone, days.
var loose = regexp.MustCompile(`#\d+|\b[0-9a-f]{12,64}\b|\d{4}-\d\d-\d\d(?:[T ][0-9:.]+(?:Z|[+-]\d\d:\d\d)?)?|\b\d{1,2} [A-Z][a-z]{2} \d{4}(?: [0-9:]+ [+-]\d\d:\d\d)?| ?\.\.\. ?`)

// pattern is what a line of a page stands for.
func pattern(line string) *regexp.Regexp {
	line = strings.Join(strings.Fields(line), " ")
	var b strings.Builder
	at := 0
	for _, m := range loose.FindAllStringIndex(line, -1) {
		b.WriteString(regexp.QuoteMeta(line[at:m[0]]))
		if strings.Contains(line[m[0]:m[1]], "...") {
			b.WriteString(".*")
		} else {
			b.WriteString(loose.String())
		}
		at = m[1]
	}
	return regexp.MustCompile("^" + b.String() + regexp.QuoteMeta(line[at:]) + "$")
}

// write writes the files of a page, and waits in the end until what the page started is gone.
func (s *site) write(page string) {
	s.Helper()
	files := guideOf(s, page).files
	for file, content := range files {
		write(s, filepath.Join(s.dir, file), strings.NewReplacer(s.edits...).Replace(content))
	}
	if len(files) == 0 {
		s.Errorf("%s has one write %d files", page, len(files))
	}
	s.Cleanup(func() {
		pids, err := filepath.Glob(filepath.Join(s.dir, "*.pid")) // of what the page has come to start
		if err != nil {
			s.Fatal(err)
		}
		for _, pid := range pids {
			s.ended(page, pid)
		}
	})
}

// ended waits until a program that a page started has ended, which a page that failed does not see to.
func (s *site) ended(page, pid string) {
	s.Helper()
	content, err := os.ReadFile(pid)
	if err != nil {
		s.Fatal(err)
	}
	number, err := strconv.Atoi(strings.TrimSpace(string(content)))
	if err != nil {
		s.Fatal(err)
	}
	ended := func() bool {
		dir, err := os.Readlink(fmt.Sprintf("/proc/%d/cwd", number))
		return err != nil || dir != s.dir
	}
	if !ended() && s.Failed() {
		_ = syscall.Kill(number, syscall.SIGTERM)
	}
	await(s, filepath.Base(pid)+" of "+page+" has ended", ended)
}

// newGuideBench writes the files of a page, with a simulated gauge at its port. The
// page starts the daemon itself.
func newGuideBench(t *testing.T, page string) *site {
	t.Helper()
	s := &site{TB: t, name: page, dir: t.TempDir()}
	s.edits = []string{"/dev/gauges/SN0042", filepath.Join(s.dir, "line", "dial"), "127.0.0.1:7480", freeAddress(t)}
	s.write(page)
	scenario := filepath.Join(s.dir, "scenario.yaml")
	write(t, scenario, "gauges:\n  dial: {layout: dial-lines, mode: stream, every: 50ms, unit: mm, value: 2.100}\n")
	start(t, filepath.Join(s.dir, "simulate.log"), "dial is at", exec.Command(program(t, "gaugectl"), "simulate", scenario,
		"--dir", filepath.Join(s.dir, "line"), "--layout", filepath.Join(s.dir, "layouts", "dial.yaml")))
	return s
}

// playInProject plays a page in a directory that has what the project has, with the examples to write to.
func playInProject(t *testing.T, page string, edits ...string) {
	s := &site{TB: t, dir: t.TempDir(), edits: edits}
	for _, dir := range []string{"api", "deploy"} {
		if err := os.Symlink(filepath.Join(root(t), dir), filepath.Join(s.dir, dir)); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.CopyFS(filepath.Join(s.dir, "examples"), os.DirFS(filepath.Join(root(t), "examples"))); err != nil {
		t.Fatal(err)
	}
	s.write(page)
	s.play(page)
}

// TestGuides plays every session of the pages for each user.
func TestGuides(t *testing.T) {
	t.Run("technician", func(t *testing.T) {
		s := newDemo(t, "noise: 0.002", "noise: 0", "scatter: 0.008", "scatter: 0", "noise: 0.001", "noise: 0", "noise: 0.0001", "noise: 0")
		s.play("technician.md")
		s.quiet()
	})
	t.Run("files", func(t *testing.T) {
		s := newDemo(t)
		s.play("files.md")
		s.quiet()
	})
	t.Run("integrator", func(t *testing.T) {
		s := &site{TB: t, dir: t.TempDir(), edits: []string{"python3 ", "/usr/bin/python3 "}} // whose packages are Debian's
		for _, dir := range []string{"api", "deploy"} {
			if err := os.Symlink(filepath.Join(root(t), dir), filepath.Join(s.dir, dir)); err != nil {
				t.Fatal(err)
			}
		}
		s.write("integrator.md")
		s.play("integrator.md")
		s.write("refusals.md")
		s.play("refusals.md")
	})
	t.Run("in Go", func(t *testing.T) {
		s := &site{TB: t, dir: t.TempDir(), edits: []string{"../gauged", root(t)}}
		s.write("clients-go.md")
		s.play("clients-go.md")
	})
	t.Run("in Python", func(t *testing.T) {
		playInProject(t, "clients-python.md", "python3 ", "/usr/bin/python3 ")
	})
	t.Run("in Node", func(t *testing.T) {
		t.Setenv("npm_config_prefer_offline", "true") // tools/setup.sh has fetched the same
		playInProject(t, "clients-node.md")
	})
	t.Run("over HTTP", func(t *testing.T) { playInProject(t, "http.md", "127.0.0.1:7481", freeAddress(t)) })
	t.Run("webhooks", func(t *testing.T) {
		host, port, _ := strings.Cut(freeAddress(t), ":")
		playInProject(t, "webhooks.md", "python3 ", "/usr/bin/python3 ", "127.0.0.1:7482", host+":"+port, "7482", port)
	})
	t.Run("MQTT", func(t *testing.T) {
		_, port, _ := strings.Cut(freeAddress(t), ":")
		playInProject(t, "mqtt.md", "7483", port, "allow_anonymous false", "allow_anonymous false\nuser root") // else, as root, it would become another user
	})
	t.Run("setting up", func(t *testing.T) {
		s := newGuideBench(t, "setting-up.md")
		s.play("setting-up.md")
	})
	t.Run("quality lead", func(t *testing.T) {
		s := newPast(t)
		s.play("quality-lead.md")
		s.quiet()
	})
}
