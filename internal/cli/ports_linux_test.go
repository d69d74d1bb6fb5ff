package cli

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/cli/app"
	"gauged/internal/devices"
	"gauged/internal/shopfile"
)

// shopBench is an invented machine: an adapter that the daemon holds, two that share
// a serial number, one with neither number nor a name for its physical port, an
// on-board port, one that is not there, a keyboard and a keyboard that is none.
const shopBench = `
	sys/devices/usb1/idVendor f055
	sys/devices/usb1/serial 0000:00:14.0
	sys/devices/usb1/1-1/idVendor f055
	sys/devices/usb1/1-1/idProduct 0101
	sys/devices/usb1/1-1/product Serial adapter
	sys/devices/usb1/1-1/serial SN0042
	sys/devices/usb1/1-1/1-1:1.0/ttyUSB0/port_number 0
	sys/devices/usb1/1-2/idVendor f055
	sys/devices/usb1/1-2/idProduct 0102
	sys/devices/usb1/1-2/product Plain "adapter"
	sys/devices/usb1/1-2/serial 0001
	sys/devices/usb1/1-2/1-2:1.0/ttyUSB1/port_number 0
	sys/devices/usb1/1-3/1-3.1/idVendor f055
	sys/devices/usb1/1-3/1-3.1/idProduct 0102
	sys/devices/usb1/1-3/1-3.1/serial 0001
	sys/devices/usb1/1-3/1-3.1/1-3.1:1.0/ttyUSB2/port_number 0
	sys/devices/usb1/1-3/1-3.2/idVendor f055
	sys/devices/usb1/1-3/1-3.2/idProduct 0103
	sys/devices/usb1/1-3/1-3.2/1-3.2:1.0/modalias a
	sys/devices/usb1/1-4/idVendor f055
	sys/devices/usb1/1-4/idProduct 0104
	sys/devices/usb1/1-4/serial KB1
	sys/devices/usb1/1-4/1-4:1.0/input/input3/capabilities/key fffffffffffffffe
	sys/devices/usb1/1-4/1-4:1.1/input/input4/capabilities/key 70000 0 0 0 0
	sys/devices/platform/board/i8042/capabilities/key fffffffffffffffe
	sys/devices/platform/board/uart a
	sys/class/tty/ttyUSB0/device -> ../../../devices/usb1/1-1/1-1:1.0/ttyUSB0
	sys/class/tty/ttyUSB1/device -> ../../../devices/usb1/1-2/1-2:1.0/ttyUSB1
	sys/class/tty/ttyUSB2/device -> ../../../devices/usb1/1-3/1-3.1/1-3.1:1.0/ttyUSB2
	sys/class/tty/ttyACM0/device -> ../../../devices/usb1/1-3/1-3.2/1-3.2:1.0
	sys/class/tty/ttyS0/device -> ../../../devices/platform/board
	sys/class/tty/ttyS0/type 4
	sys/class/tty/ttyS1/device -> ../../../devices/platform/board
	sys/class/tty/ttyS1/type 0
	sys/class/tty/tty1/dev 4:1
	sys/class/input/event2/device -> ../../../devices/platform/board/i8042
	sys/class/input/event3/device -> ../../../devices/usb1/1-4/1-4:1.0/input/input3
	sys/class/input/event4/device -> ../../../devices/usb1/1-4/1-4:1.1/input/input4
	dev/ttyUSB0 a
	dev/ttyUSB1 a
	dev/ttyUSB2 a
	dev/ttyACM0 a
	dev/ttyS0 a
	dev/input/event3 a
	dev/serial/by-id/usb-Serial_adapter_SN0042-if00-port0 -> ../../ttyUSB0
	dev/serial/by-id/usb-Plain_0001-if00-port0 -> ../../ttyUSB2
	dev/serial/by-path/board-usb-0:1:1.0-port0 -> ../../ttyUSB0
	dev/serial/by-path/board-usb-0:2:1.0-port0 -> ../../ttyUSB1
	dev/serial/by-path/board-usb-0:3.1:1.0-port0 -> ../../ttyUSB2
	dev/input/by-id/usb-KB1-event-kbd -> ../event3
	dev/gauges/SN0042 -> ../ttyUSB0
	proc/812/comm gauged
	proc/812/fd/7 -> /dev/ttyUSB0
	proc/812/fd/8 -> /dev/ttyUSB0
	proc/901/comm terminal
	proc/901/fd/3 -> /dev/ttyS0
	proc/902/comm other
	proc/902/fd/3 -> /dev/null
`

// configuration has a gauge on a plugged port, one that is away, one whose
// serial number is not alone, and an id that a proposal must pass over.
const configuration = `
station: bench-1
gauges:
  dial: {layout: signed-line, unit: mm, usb: SN0042}
  gauge-2: {layout: signed-line, unit: mm, port: /dev/serial/by-path/board-usb-0:3.1:1.0-port0}
  lever: {layout: request-reply, usb: SN0077}
  plain: {layout: signed-line, unit: mm, usb: "0001"}
  remote: {layout: signed-line, unit: mm, tcp: "serial-server:4001"}
`

// machine builds a file system from lines of a path and the content of the
// file, or -> and where a link leads.
func machine(t *testing.T, lines string) (root string) {
	t.Helper()
	root = t.TempDir()
	for line := range strings.Lines(lines) {
		name, content, _ := strings.Cut(strings.TrimSpace(line), " ")
		if name == "" {
			continue
		}
		path := filepath.Join(root, name)
		err := os.MkdirAll(filepath.Dir(path), 0o755)
		if target, link := strings.CutPrefix(content, "-> "); link {
			err = errors.Join(err, os.Symlink(target, path))
		} else {
			err = errors.Join(err, os.WriteFile(path, []byte(content+"\n"), 0o600))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	return root
}

// callOn runs a command line on an invented machine.
func callOn(t *testing.T, root string, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, err output
	a := &app.App{Stdin: strings.NewReader(""), Stdout: &out, Stderr: &err, Getenv: func(string) string { return "" }, Machine: root}
	code = execute(a, t.Context(), args)
	return code, out.String(), err.String()
}

func TestPorts(t *testing.T) {
	root := machine(t, shopBench)
	file := filepath.Join(root, "gauged.yaml")
	if err := os.WriteFile(file, []byte(configuration), 0o600); err != nil {
		t.Fatal(err)
	}
	for name, args := range map[string][]string{
		"ports": {"ports"}, "ports_config": {"ports", "--config", file}, "ports_json": {"ports", "--config", file, "--output", "json"},
	} {
		t.Run(name, func(t *testing.T) {
			code, stdout, stderr := callOn(t, root, args...)
			if code != app.ExitFine || stderr != "" {
				t.Fatalf("exit %d: %s", code, stderr)
			}
			golden(t, name, stdout)
		})
	}
}

// TestProposedEntriesAreRead: once the layout is filled in, the entries make a
// configuration in which every port is a gauge of its own.
func TestProposedEntriesAreRead(t *testing.T) {
	root := machine(t, shopBench)
	code, stdout, stderr := callOn(t, root, "ports", "--output", "json")
	var shown struct{ Ports []struct{ Entry string } }
	if err := json.Unmarshal([]byte(stdout), &shown); err != nil || code != app.ExitFine {
		t.Fatalf("exit %d, %v: %s", code, err, stderr)
	}
	var entries strings.Builder
	for _, p := range shown.Ports {
		entries.WriteString(strings.Replace(p.Entry, "layout: ...", "unit: mm\n  layout: signed-line", 1))
	}
	layouts, err := devices.ShippedLayouts()
	if err != nil {
		t.Fatal(err)
	}
	document := shopfile.Parse("proposed.yaml", []byte(entries.String()))
	gauges := devices.ReadGauges(document.Root(), "/", layouts.Find)
	if err := document.Err(); err != nil || len(gauges) != 6 {
		t.Fatalf("%d gauges, %v in\n%s", len(gauges), err, entries.String())
	}
	listing, err := devices.Discover(root)
	if err != nil {
		t.Fatal(err)
	}
	listing.Assign(root, gauges)
	for i, p := range listing.Ports {
		if len(p.Gauges) != 1 || p.Gauges[0] != gauges[i].ID || len(listing.Absent) != 0 {
			t.Errorf("%s has %v, want %s; absent are %v", p.Path, p.Gauges, gauges[i].ID, listing.Absent)
		}
	}
}

func TestPortsWithNothing(t *testing.T) {
	root := t.TempDir()
	code, stdout, _ := callOn(t, root, "ports")
	if code != app.ExitFine || stdout != "There are no serial ports and no USB keyboards.\n" {
		t.Errorf("exit %d, %q", code, stdout)
	}
	file := filepath.Join(root, "none.yaml")
	code, _, stderr := callOn(t, root, "ports", "--config", file)
	if code != app.ExitFailure || stderr != "gaugectl: there is no file "+file+"\n" {
		t.Errorf("exit %d, %q", code, stderr)
	}
}

func TestCompletionOffersPorts(t *testing.T) {
	_, stdout, _ := callOn(t, machine(t, shopBench), "__complete", "listen", "--port", "/dev/ttyS")
	want := "/dev/ttyACM0\tport 1-3.2, no serial number, ids f055:0103\n/dev/ttyS0\n"
	if !strings.HasPrefix(stdout, want) || strings.Contains(stdout, "event") {
		t.Errorf("got %q, want %q first", stdout, want)
	}
}
