package devices_test

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"gauged/internal/devices"
	"gauged/internal/devices/simulate"
)

// farLine is a simulated line behind a serial server, and a gauge on it.
func farLine(t *testing.T, telnet string, line devices.Line) (*simulate.Line, *serialServer, devices.Dialer) {
	t.Helper()
	near := simulate.NewLine(filepath.Join(t.TempDir(), "gauge"))
	if err := near.Plug(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = near.Unplug() })
	s := &serialServer{t: t, address: freeAddress(t), line: near.Link(), telnet: telnet}
	s.start()
	return near, s, devices.NewDialer(nil, devices.Gauge{ID: "far", TCP: s.address, RFC2217: true, Line: line})
}

// TestLineIsSetAtServer: the serial server sets the line as the definition says,
// and hands bytes on both ways, those that Telnet would take for commands too.
func TestLineIsSetAtServer(t *testing.T) {
	near, s, dialer := farLine(t, "telnet(rfc2217),", devices.Line{Speed: 19200, Bits: 8, Parity: devices.ParityNone, Stop: 2})
	port, err := dialer.Dial()
	if err != nil {
		t.Fatal(err)
	}
	defer port.Close()
	fd, err := unix.Open(s.line, unix.O_RDONLY|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer unix.Close(fd)
	set, err := unix.IoctlGetTermios(fd, unix.TCGETS)
	if err != nil {
		t.Fatal(err)
	}
	if set.Cflag&unix.CBAUD != unix.B19200 || set.Cflag&unix.CSTOPB == 0 || set.Cflag&unix.PARENB != 0 {
		t.Errorf("the flags of the line are %#o", set.Cflag)
	}

	const frame = "+012\xff.345\xff\xff mm\r\n"
	if _, err := near.Write([]byte(frame)); err != nil {
		t.Fatal(err)
	}
	got := ""
	for end := time.Now().Add(within); len(got) < len(frame) && time.Now().Before(end); {
		buf := make([]byte, 5)
		n, _ := port.Read(buf) // silence is no news
		got += string(buf[:n])
	}
	if got != frame {
		t.Errorf("got  %q\nwant %q", got, frame)
	}
	if _, err := port.Write([]byte("ask\xff\r")); err != nil {
		t.Fatal(err)
	}
	asked := make([]byte, 16)
	n, err := near.Read(asked)
	if string(asked[:n]) != "ask\xff\r" || err != nil {
		t.Errorf("the gauge was asked %q, %v", asked[:n], err)
	}
}

// TestServerThatDoesNotSetLines names the remedy.
func TestServerThatDoesNotSetLines(t *testing.T) {
	_, _, dialer := farLine(t, "telnet,", devices.DefaultLine)
	_, err := dialer.Dial()
	if err == nil || !strings.Contains(err.Error(), `does not let the line be set (RFC 2217): switch that on for this port, or set the line there and use "tcp"`) {
		t.Errorf("got %v", err)
	}
}
