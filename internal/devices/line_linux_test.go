package devices

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// within bounds what a test waits for.
const within = 10 * time.Second

// cable is a line that socat makes of two terminals: the path of our end, and
// the gauge's end.
func cable(t *testing.T) (ours string, theirs *os.File) {
	t.Helper()
	ours, other := filepath.Join(t.TempDir(), "ours"), filepath.Join(t.TempDir(), "theirs")
	socat := exec.Command("socat", "-d", "-d", "pty,raw,echo=0,link="+ours, "pty,raw,echo=0,link="+other)
	said, err := socat.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := socat.Start(); err != nil {
		t.Fatalf("%v: make setup installs it", err)
	}
	t.Cleanup(func() {
		_ = socat.Process.Kill()
		_, _ = io.Copy(io.Discard, said)
		_ = socat.Wait() // its end was wanted
	})
	for lines := bufio.NewScanner(said); ; {
		if !lines.Scan() {
			t.Fatal("socat ended before the line was there")
		}
		if strings.Contains(lines.Text(), "starting data transfer loop") {
			break
		}
	}
	theirs, err = os.OpenFile(other, os.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { theirs.Close() })
	return ours, theirs
}

// receive reads as many bytes as are expected, or what came in time.
func receive(from io.Reader, expected int) string {
	got, buf := "", make([]byte, 64)
	for end := time.Now().Add(within); len(got) < expected && time.Now().Before(end); {
		n, err := from.Read(buf)
		got += string(buf[:n])
		if err != nil && !errors.Is(err, os.ErrDeadlineExceeded) {
			break
		}
	}
	return got
}

// termios reads how the line is set, with its speed in baud.
func termios(t *testing.T, p Port) *unix.Termios {
	t.Helper()
	var set *unix.Termios
	err := control(p.(*serialPort).file, func(fd int) (err error) {
		set, err = unix.IoctlGetTermios(fd, unix.TCGETS2)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return set
}

// TestLineSettings opens a line at every usual speed, frame and handshake, and
// at a speed of its own, and reads back what is in force. A pseudo-terminal
// keeps neither 7 bits nor the parity bit itself: those show in the check of
// what comes in, in the library's mode, and on the UART of make test-usb.
func TestLineSettings(t *testing.T) {
	ours, theirs := cable(t)
	for _, speed := range []int{300, 600, 1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200, 230400, 460800, 12345} {
		for _, frame := range []string{"7E1", "7E2", "7O1", "8E1", "8N1", "8N2"} {
			for _, handshake := range []string{HandshakeNone, HandshakeRTSCTS, HandshakeXONXOFF} {
				t.Run(fmt.Sprint(speed, " ", frame, " ", handshake), func(t *testing.T) {
					line := Line{Speed: speed, Bits: int(frame[0] - '0'), Stop: int(frame[2] - '0'), DTR: true, RTS: true, Handshake: handshake}
					line.Parity = map[byte]string{'N': ParityNone, 'E': ParityEven, 'O': ParityOdd}[frame[1]]
					lineInForce(t, ours, theirs, line)
				})
			}
		}
	}
}

func lineInForce(t *testing.T, ours string, theirs *os.File, line Line) {
	p, err := openSerial(ours, line, time.Second)
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	set := termios(t, p)
	if int(set.Ospeed) != line.Speed || int(set.Ispeed) != line.Speed {
		t.Errorf("the speed is %d, %d", set.Ospeed, set.Ispeed)
	}
	if bits := line.mode().DataBits; bits != line.Bits {
		t.Errorf("%d bits", bits)
	}
	for _, flag := range []struct {
		name string
		is   bool
		want bool
	}{
		{"check of parity", set.Iflag&unix.INPCK != 0, line.Parity != ParityNone},
		{"odd parity", set.Cflag&unix.PARODD != 0, line.Parity == ParityOdd},
		{"second stop bit", set.Cflag&unix.CSTOPB != 0, line.Stop == 2},
		{"RTS/CTS", set.Cflag&unix.CRTSCTS != 0, line.Handshake == HandshakeRTSCTS},
		{"XON", set.Iflag&unix.IXON != 0, line.Handshake == HandshakeXONXOFF},
		{"XOFF", set.Iflag&unix.IXOFF != 0, line.Handshake == HandshakeXONXOFF},
		{"any key as XON", set.Iflag&unix.IXANY != 0, false},
		{"use of the line's carrier", set.Cflag&unix.CLOCAL == 0, false},
		{"lines of text", set.Lflag&unix.ICANON != 0, false},
	} {
		if flag.is != flag.want {
			t.Errorf("%s: %v", flag.name, flag.is)
		}
	}
	const frame, request = "+012.345 mm\r\n", "?\r"
	if _, err := theirs.WriteString(frame); err != nil {
		t.Fatal(err)
	}
	if got := receive(p, len(frame)); got != frame {
		t.Errorf("we read %q", got)
	}
	if _, err := p.Write([]byte(request)); err != nil {
		t.Fatal(err)
	}
	if err := theirs.SetReadDeadline(time.Now().Add(within)); err != nil {
		t.Fatal(err)
	}
	if got := receive(theirs, len(request)); got != request {
		t.Errorf("the gauge reads %q", got)
	}
}

// TestGaugeHoldsUpTheHost: after XOFF nothing is written, and after XON
// everything again.
func TestGaugeHoldsUpTheHost(t *testing.T) {
	ours, theirs := cable(t)
	line := DefaultLine
	line.Handshake = HandshakeXONXOFF
	p, err := openSerial(ours, line, time.Second)
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	if _, err := theirs.Write([]byte{xoff, 'h'}); err != nil {
		t.Fatal(err)
	}
	if got := receive(p, 1); got != "h" {
		t.Fatalf("we read %q", got)
	}
	if _, err := p.Write([]byte("?")); !errors.Is(err, os.ErrDeadlineExceeded) {
		t.Errorf("held up, the write gave %v", err)
	}
	if _, err := theirs.Write([]byte{xon, 'h'}); err != nil {
		t.Fatal(err)
	}
	if got := receive(p, 1); got != "h" {
		t.Fatalf("we read %q", got)
	}
	if _, err := p.Write([]byte("!")); err != nil {
		t.Fatal(err)
	}
	if err := theirs.SetReadDeadline(time.Now().Add(within)); err != nil {
		t.Fatal(err)
	}
	if got := receive(theirs, 1); got != "!" {
		t.Errorf("the gauge reads %q", got)
	}
}

// TestNoHandshakeText: what a driver that knows no RTS/CTS is refused with.
func TestNoHandshakeText(t *testing.T) {
	err := explainOpen("/dev/ttyUSB0", ErrNoHandshake)
	want := `cannot open /dev/ttyUSB0: its driver does not do the handshake rts/cts: use another adapter, or "handshake: none" if the gauge can do without`
	if err.Error() != want || !errors.Is(err, ErrNoHandshake) {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}
