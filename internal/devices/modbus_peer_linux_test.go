package devices_test

import (
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"gauged/internal/devices"
	"gauged/internal/gauge"
)

// ends kills a program when the test ends.
func ends(t *testing.T, cmd *exec.Cmd) {
	t.Helper()
	if err := cmd.Start(); err != nil {
		t.Fatalf("%s: %v (see tools/setup.sh)", cmd.Path, err)
	}
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait() // its end was wanted
	})
}

// python is Debian's, for which the packages are.
const python = "/usr/bin/python3"

const peerScript = "../../testdata/python/modbus_gauge.py"

// registersOf is a layout of the gauge that the script plays.
func registersOf(t *testing.T, modbus, good string) *devices.Layout {
	t.Helper()
	l, err := devices.ParseLayout("peer.yaml", []byte("layout: peer\ntitle: Peer\nmode: poll\nunit: mm\nanswer_within: 500ms\nmodbus: {"+modbus+"}\n"+good))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Examples of answers; the checks are those of the algorithm, which
// TestModbusCheck holds.
const (
	int32Examples = `good:
  - {bytes: "\x07\x03\x04\x00\x00\x04\xD2\x1E\xAE", shown: "1.234", unit: mm, value: "1.234"}
  - {bytes: "\x07\x03\x04\xFF\xFF\xFF\xD0\xDC\x7B", shown: "-0.048", unit: mm, value: "-0.048"}
bad:
  - {bytes: "\x07\x03\x04\x00\x00\x04\xD2\x1E\xAF", reason: noise}
`
	int16Examples = `good:
  - {bytes: "\x00\x01\x00\x00\x00\x05\x07\x04\x02\xFF\xD0", shown: "-0.048", unit: mm, value: "-0.048"}
  - {bytes: "\x00\x01\x00\x00\x00\x05\x07\x04\x02\x00\x30", shown: "0.048", unit: mm, value: "0.048"}
bad:
  - {bytes: "\x00\x01\x00\x00\x00\x03\x07\x84\x02", reason: overrange}
`
	floatExamples = `good:
  - {bytes: "\x00\x01\x00\x00\x00\x07\x07\x03\x04\x41\x48\x00\x00", shown: "12.500", unit: mm, value: "12.5"}
  - {bytes: "\x00\x01\x00\x00\x00\x07\x07\x03\x04\xC1\x48\x00\x00", shown: "-12.500", unit: mm, value: "-12.5"}
bad:
  - {bytes: "\x00\x01\x00\x00\x00\x07\x07\x03\x04\x7F\xC0\x00\x00", reason: number}
`
)

// TestModbusPeer: registers of pymodbus, over a serial line and over TCP, come
// as readings; a register that is not there is refused with the gauge's reason.
func TestModbusPeer(t *testing.T) {
	dir := t.TempDir()
	ours, theirs := filepath.Join(dir, "ours"), filepath.Join(dir, "theirs")
	ends(t, exec.Command("socat", "pty,raw,echo=0,link="+ours, "pty,raw,echo=0,link="+theirs))
	appears(t, theirs)
	ends(t, exec.Command(python, peerScript, "rtu", theirs))
	address := freeAddress(t)
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		t.Fatal(err)
	}
	ends(t, exec.Command(python, peerScript, "tcp", host, port))

	line := devices.DefaultLine
	line.Speed = 19200
	for name, c := range map[string]struct {
		gauge devices.Gauge
		want  string
	}{
		"serial line": {devices.Gauge{Port: ours, Line: line, Layout: registersOf(t, "form: rtu, station: 7, register: 256, as: int32, decimals: 3", int32Examples)}, "1.234"},
		"TCP":         {devices.Gauge{TCP: address, Layout: registersOf(t, "form: tcp, station: 7, function: 4, register: 16, as: int16, decimals: 3", int16Examples)}, "-0.048"},
		"float":       {devices.Gauge{TCP: address, Layout: registersOf(t, "form: tcp, station: 7, register: 300, as: float32, decimals: 3", floatExamples)}, "12.500"},
		"refused":     {devices.Gauge{TCP: address, Layout: registersOf(t, "form: tcp, station: 7, function: 4, register: 900, as: int16, decimals: 3", int16Examples)}, "!overrange"},
	} {
		t.Run(name, func(t *testing.T) {
			g := c.gauge
			g.ID, g.Mode, g.Poll, g.SilentAfter = "peer", gauge.ModePoll, 50*time.Millisecond, 10*time.Second
			w := &watched{t: t, last: time.Now()}
			w.supervise(g)
			w.until("an answer of the peer", func() bool {
				for _, e := range w.events {
					if e.Reading != nil && e.Reading.Shown == c.want && e.Reading.Unit == gauge.Millimetre ||
						e.Reject != nil && "!"+string(e.Reject.Reason) == c.want {
						return true
					}
				}
				return false
			})
		})
	}
}

// appears waits until a file is there.
func appears(t *testing.T, path string) {
	t.Helper()
	for end := time.Now().Add(within); ; time.Sleep(5 * time.Millisecond) {
		if _, err := os.Stat(path); err == nil {
			return
		}
		if time.Now().After(end) {
			t.Fatalf("%s does not appear", path)
		}
	}
}
