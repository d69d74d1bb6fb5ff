//go:build usb

package usbtest

import (
	"bufio"
	"net"
	"strings"
	"testing"
	"time"
)

// shell is the one that waits for orders at the second serial line of the machine of the
// service.
type shell struct {
	t     *testing.T
	conn  net.Conn
	lines *bufio.Scanner
}

// shell waits until the machine has booted.
func (m *machine) shell() *shell {
	m.t.Helper()
	s := &shell{m.t, m.lines["ttyS1"], bufio.NewScanner(m.lines["ttyS1"])}
	s.until(func(line string) bool { return line == "READY" })
	m.t.Cleanup(func() {
		if m.t.Failed() {
			log, _ := s.try("journalctl --boot --no-pager --output short-monotonic --lines 300")
			m.t.Logf("the log of the machine:\n%s", log)
		}
	})
	return s
}

// until reads lines up to one, and fails after three minutes without it.
func (s *shell) until(last func(string) bool) (before []string) {
	s.t.Helper()
	if err := s.conn.SetReadDeadline(time.Now().Add(3 * time.Minute)); err != nil {
		s.t.Fatal(err)
	}
	for s.lines.Scan() {
		line := strings.TrimRight(s.lines.Text(), "\r")
		if last(line) {
			return before
		}
		before = append(before, line)
	}
	s.t.Fatalf("%v after:\n%s", s.lines.Err(), strings.Join(before, "\n"))
	return nil
}

// try gives an order, one line of the shell, and returns what it prints and whether it went well.
func (s *shell) try(order string) (out string, ok bool) {
	s.t.Helper()
	if _, err := s.conn.Write([]byte(order + "\n")); err != nil {
		s.t.Fatal(err)
	}
	lines := s.until(func(line string) bool {
		status, ended := strings.CutPrefix(line, "END ")
		ok = status == "0"
		return ended
	})
	return strings.Join(lines, "\n"), ok
}

// do is try for an order that must go well.
func (s *shell) do(order string) string {
	s.t.Helper()
	out, ok := s.try(order)
	if !ok {
		s.t.Fatalf("%s:\n%s", order, out)
	}
	return out
}

// await waits until an order goes well, and fails after a minute and a half.
func (s *shell) await(condition string) {
	s.t.Helper()
	out, ok := s.try("end=$(($(date +%s) + 90)); until out=$(" + condition + " 2>&1); do [ $(date +%s) -lt $end ] || { echo \"$out\"; exit 1; }; sleep 0.2; done")
	if !ok {
		status, _ := s.try("gaugectl gauges")
		s.t.Fatalf("in vain: %s\n%s\n%s", condition, out, status)
	}
}
