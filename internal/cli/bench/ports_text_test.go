package bench

import (
	"strings"
	"testing"

	"gauged/internal/devices"
)

// TestPortsForAnotherUser: what a user is shown who may not do all.
func TestPortsForAnotherUser(t *testing.T) {
	var out strings.Builder
	renderPorts(&out, shownPorts{Hidden: true, Ports: []shownPort{{
		Plugged: devices.Plugged{
			Kind: devices.PluggedSerial, Path: "/dev/ttyUSB0", Gauges: []string{"dial", "lever"},
			USB:     &devices.USBDevice{Port: "1-2", Vendor: "f055", Model: "0101", Serial: "\x1b[2J"},
			Refused: "cannot open /dev/ttyUSB0: permission denied",
		},
	}}})
	want := `/dev/ttyUSB0
  kind     serial port
  USB      port 1-2, serial number "\x1b[2J", ids f055:0101
  held by  no process that this user can see; root sees all
  gauge    dial, lever
  access   cannot open /dev/ttyUSB0: permission denied
`
	if got := out.String(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
