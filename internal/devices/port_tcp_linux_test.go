package devices_test

import (
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"gauged/internal/devices"
	"gauged/internal/gauge"
	"gauged/internal/simulate"
)

// serialServer is ser2net of Debian in front of a pseudo-terminal.
type serialServer struct {
	t       *testing.T
	address string
	line    string
	telnet  string // "", or how it speaks to its clients
	cmd     *exec.Cmd
}

// start runs the server and waits until it listens.
func (s *serialServer) start() {
	s.t.Helper()
	host, port, err := net.SplitHostPort(s.address)
	if err != nil {
		s.t.Fatal(err)
	}
	config := fmt.Sprintf("connection: &gauge\n  accepter: %stcp,%s,%s\n  connector: serialdev,%s,9600n81,local\n", s.telnet, host, port, s.line)
	s.cmd = exec.Command("ser2net", "-n", "-u", "-Y", config)
	if err := s.cmd.Start(); err != nil {
		s.t.Fatalf("ser2net: %v (its Debian package has the same name)", err)
	}
	s.t.Cleanup(s.stop)
	for end := time.Now().Add(within); !listens(s.t, port); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			s.t.Fatalf("ser2net does not listen on %s", s.address)
		}
	}
}

// listens asks the kernel whether a port is listened on. A connection would take
// the line from the one that the test is about.
func listens(t *testing.T, port string) bool {
	t.Helper()
	number, err := strconv.Atoi(port)
	if err != nil {
		t.Fatal(err)
	}
	sockets, err := os.ReadFile("/proc/net/tcp")
	if err != nil {
		t.Fatal(err)
	}
	const listening = " 00000000:0000 0A "
	return strings.Contains(string(sockets), fmt.Sprintf(":%04X", number)+listening)
}

func (s *serialServer) stop() {
	if s.cmd == nil {
		return
	}
	_ = s.cmd.Process.Kill()
	_ = s.cmd.Wait() // its end was wanted
	s.cmd = nil
}

// freeAddress is a loopback address that nobody uses at the moment.
func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// TestGaugeBehindSerialServer: readings come over TCP as they come over the
// line; a server that goes away is said with its reason, and comes back by
// itself.
func TestGaugeBehindSerialServer(t *testing.T) {
	w := &watched{t: t, line: simulate.NewLine(filepath.Join(t.TempDir(), "gauge")), last: time.Now()}
	if err := w.line.Plug(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = w.line.Unplug() })
	s := &serialServer{t: t, address: freeAddress(t), line: w.line.Link()}
	layouts, err := devices.ShippedLayouts()
	if err != nil {
		t.Fatal(err)
	}
	layout, _ := layouts.Find("value-with-unit")
	w.supervise(devices.Gauge{ID: "far", Layout: layout, TCP: s.address, Mode: gauge.ModeButton})
	stated := func(state gauge.State, text string) func() bool {
		return func() bool {
			for _, e := range w.events {
				if e.State != nil && e.State.State == state && strings.Contains(told(e.State.Reason), text) {
					return true
				}
			}
			return false
		}
	}
	w.until("the refusal of the server that is not there", stated(gauge.StateFailed, "nothing listens there: is the serial server on, and is this its port for the line?"))
	s.start()
	send := func(frame string, readings int) {
		w.until("a press reaching the daemon", func() bool {
			if w.readings() >= readings {
				return true
			}
			if time.Since(w.last) > 200*time.Millisecond { // the connection may not have been there yet
				w.last = time.Now()
				_, _ = w.line.Write([]byte(frame))
			}
			return false
		})
	}
	w.until("the connection", stated(gauge.StateLive, ""))
	send("+012.345 mm\r\n", 1)
	s.stop()
	w.until("the end of the server", stated(gauge.StateFailed, "the serial server closed the connection"))
	before := w.readings()
	s.start()
	send("-000.048 mm\r\n", before+1)
}
