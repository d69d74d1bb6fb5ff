package devices_test

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"gauged/internal/devices"
	"gauged/internal/simulate"
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

// dialled opens the line, once the server has noticed that its last client left.
func dialled(t *testing.T, dialer devices.Dialer) devices.Port {
	t.Helper()
	for end := time.Now().Add(within); ; time.Sleep(5 * time.Millisecond) {
		port, err := dialer.Dial()
		if err == nil {
			return port
		}
		if time.Now().After(end) || !strings.Contains(err.Error(), "another program took the line") {
			t.Fatal(err)
		}
	}
}

// TestLineIsSetAtServer: the serial server sets the line as the definition says,
// and hands bytes on both ways, those that Telnet would take for commands too.
func TestLineIsSetAtServer(t *testing.T) {
	line := devices.DefaultLine
	line.Speed, line.Stop = 19200, 2
	near, s, dialer := farLine(t, "telnet(rfc2217),", line)
	port := dialled(t, dialer)
	defer port.Close()
	set := termios(t, s.line)
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

// termios reads how a terminal is set.
func termios(t *testing.T, path string) *unix.Termios {
	t.Helper()
	fd, err := unix.Open(path, unix.O_RDONLY|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer unix.Close(fd)
	set, err := unix.IoctlGetTermios(fd, unix.TCGETS2)
	if err != nil {
		t.Fatal(err)
	}
	return set
}

// TestHandshakeIsSetAtServer reads the handshake back from the server's line.
func TestHandshakeIsSetAtServer(t *testing.T) {
	line := devices.DefaultLine
	_, s, _ := farLine(t, "telnet(rfc2217),", line)
	for _, c := range []struct {
		handshake    string
		cflag, iflag uint32
	}{
		{devices.HandshakeRTSCTS, unix.CRTSCTS, 0},
		{devices.HandshakeXONXOFF, 0, unix.IXON | unix.IXOFF},
		{devices.HandshakeNone, 0, 0},
	} {
		line.Handshake = c.handshake
		port := dialled(t, devices.NewDialer(nil, devices.Gauge{ID: "far", TCP: s.address, RFC2217: true, Line: line}))
		set := termios(t, s.line)
		if set.Cflag&unix.CRTSCTS != c.cflag || set.Iflag&(unix.IXON|unix.IXOFF) != c.iflag {
			t.Errorf("%s: the flags of the line are %#o and %#o", c.handshake, set.Cflag, set.Iflag)
		}
		port.Close()
	}
}

// TestServerThatDoesNotSetLines names the remedy.
func TestServerThatDoesNotSetLines(t *testing.T) {
	_, _, dialer := farLine(t, "telnet,", devices.DefaultLine)
	_, err := dialer.Dial()
	for end := time.Now().Add(within); err != nil && strings.Contains(err.Error(), "another program took the line") && time.Now().Before(end); {
		_, err = dialer.Dial() // the client of the start has not left yet
	}
	if err == nil || !strings.Contains(err.Error(), `does not let the line be set (RFC 2217): switch that on for this port, or set the line there and use "tcp"`) {
		t.Errorf("got %v", err)
	}
}
