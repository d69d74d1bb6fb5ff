//go:build walk

// Package walk goes wherever somebody at the shipped demonstration can go: every
// address of the bench page in every language, as page, picture, stream and PDF,
// and every command of gaugectl, with its help, its table and its JSON. Nothing
// may answer with an error, show what only a programmer reads, or be empty where
// the station has data. make walk builds the programs first.
//
// Two stations are walked: the demonstration after its two jobs, and a bench with
// a past, which has what takes months to come about: checks, a drift, studies and a
// verdict in doubt.
package walk

import (
	"bytes"
	"context"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// within is how long anything may take that is waited for. It is many times
// what a busy machine needs, so that only what never happens fails.
const within = 30 * time.Second

// site is a station that is walked, with its daemon.
type site struct {
	testing.TB
	name    string
	dir     string // of the station's files
	page    string // address of the bench page
	metrics string
	socket  string
	log     string   // what the daemon said
	exports []string // what a page of docs has set for its commands
	edits   []string // pairs of what a page of docs names and what stands for it here
}

// root is the directory of the project.
func root(t testing.TB) string {
	t.Helper()
	dir, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

// program is the path of a program that make build has built.
func program(t testing.TB, name string) string {
	t.Helper()
	path := filepath.Join(root(t), "bin", name)
	if _, err := os.Stat(path); err != nil {
		t.Fatalf("%v: make walk builds it", err)
	}
	return path
}

// freeAddress is a loopback address that nothing listens at.
func freeAddress(t testing.TB) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// copyFiles copies the files of a directory that patterns name; each names one at least.
func copyFiles(t testing.TB, from, to string, patterns ...string) {
	t.Helper()
	for _, pattern := range patterns {
		files, err := filepath.Glob(filepath.Join(from, pattern))
		if err != nil || len(files) == 0 {
			t.Fatalf("%s has no %s, %v", from, pattern, err)
		}
		for _, file := range files {
			content, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			write(t, filepath.Join(to, strings.TrimPrefix(file, from)), string(content))
		}
	}
}

// edit replaces texts in a file; each must be there.
func edit(t testing.TB, path string, pairs ...string) {
	t.Helper()
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	text := string(content)
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			t.Fatalf("%s has no %q", path, pairs[i])
		}
		text = strings.ReplaceAll(text, pairs[i], pairs[i+1])
	}
	write(t, path, text)
}

func write(t testing.TB, path, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// await polls until the condition holds.
func await(t testing.TB, what string, holds func() bool) {
	t.Helper()
	for deadline := time.Now().Add(within); !holds(); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("waited in vain until %s", what)
		}
	}
}

// start runs a program until the test ends, and waits until it has said a text.
// What it says goes to the file out.
func start(t testing.TB, out, until string, c *exec.Cmd) {
	t.Helper()
	said, err := os.Create(out)
	if err != nil {
		t.Fatal(err)
	}
	defer said.Close()
	c.Stdout, c.Stderr = said, said
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	gone := make(chan struct{})
	go func() { _ = c.Wait(); close(gone) }()
	t.Cleanup(func() {
		_ = c.Process.Signal(syscall.SIGTERM)
		select {
		case <-gone:
		case <-time.After(within):
			t.Errorf("%s does not end", c.Path)
			_ = c.Process.Kill()
			<-gone
		}
	})
	await(t, filepath.Base(c.Path)+" says "+until, func() bool {
		text, err := os.ReadFile(out)
		if err != nil {
			t.Fatal(err)
		}
		if bytes.Contains(text, []byte(until)) {
			return true
		}
		select {
		case <-gone:
			t.Fatalf("%s ended:\n%s", c.Path, text)
		default:
		}
		return false
	})
}

// in is the station in a part of the test.
func (s *site) in(t testing.TB) *site {
	other := *s
	other.TB = t
	return &other
}

// gaugectl runs a command of the command line on the station's daemon. It must
// succeed.
func (s *site) gaugectl(args ...string) string {
	s.Helper()
	a := s.ask("", args...)
	if a.code != 0 {
		s.Fatalf("gaugectl %s: %d: %s%s", strings.Join(args, " "), a.code, a.stdout, a.stderr)
	}
	return a.stdout
}

// answer is what a command gave.
type answer struct {
	code           int
	stdout, stderr string
}

// ask runs a command with a standard input.
func (s *site) ask(stdin string, args ...string) answer {
	s.Helper()
	ctx, cancel := context.WithTimeout(s.Context(), within)
	defer cancel()
	c := exec.CommandContext(ctx, program(s, "gaugectl"), args...)
	c.Dir = s.dir
	c.Env = append(os.Environ(), "GAUGECTL_ADDRESS=unix://"+s.socket, "GAUGECTL_BY=demo")
	c.Stdin = strings.NewReader(stdin)
	var out, errs bytes.Buffer
	c.Stdout, c.Stderr = &out, &errs
	err := c.Run()
	if err != nil && (c.ProcessState == nil || ctx.Err() != nil) {
		s.Fatalf("gaugectl %s: %v after %s%s", strings.Join(args, " "), err, out.String(), errs.String())
	}
	return answer{c.ProcessState.ExitCode(), out.String(), errs.String()}
}

// quiet fails the test when the daemon has said that something went wrong.
func (s *site) quiet() {
	s.Helper()
	text, err := os.ReadFile(s.log)
	if err != nil {
		s.Fatal(err)
	}
	for line := range strings.Lines(string(text)) {
		if strings.Contains(line, "level=ERROR") || strings.Contains(line, "panic") {
			s.Errorf("%s: the daemon says: %s", s.name, line)
		}
	}
}
