package devices

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

func readFile(t testing.TB, path string) []byte {
	t.Helper()
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return content
}

func readGauges(t *testing.T, content string) ([]Gauge, error) {
	t.Helper()
	layouts, err := ShippedLayouts()
	if err != nil {
		t.Fatal(err)
	}
	fixed, err := readSample(t, "decimal-comma.good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if err := layouts.Add(fixed); err != nil {
		t.Fatal(err)
	}
	doc := shopfile.Parse("f", []byte(content))
	gauges := ReadGauges(doc.Root(), "", layouts.Find)
	return gauges, doc.Err()
}

func TestReadGauges(t *testing.T) {
	gauges, err := readGauges(t, `
dial: {title: Indicator, layout: signed-line, port: /dev/a, unit: in, resolution: 0.0005}
stand:
  layout: signed-line
  usb: SN0042
  unit: mm
  mode: stream
  silent_after: 10s
  line: {speed: 4800, bits: 7, parity: even, stop: 2, rts: no, handshake: xon/xoff}
depth: {layout: request-reply, port: /dev/c, poll: 2s}
asked: {layout: request-reply, port: /dev/d}
remote: {outside: yes, unit: mm, resolution: 0.01}
comma: {layout: decimal-comma, port: /dev/e}
`)
	if err != nil {
		t.Fatal(err)
	}
	byID := map[string]Gauge{}
	for _, g := range gauges {
		byID[g.ID] = g
	}
	dial := byID["dial"]
	if dial.Unit != gauge.Inch || dial.Resolution != 12_700_000 || dial.Mode != gauge.ModeButton || dial.Bounce != gauge.BounceTime || dial.SilentAfter != 0 || dial.Line != DefaultLine {
		t.Errorf("dial: %+v", dial)
	}
	stand := byID["stand"]
	if stand.USB != "SN0042" || stand.Mode != gauge.ModeStream || stand.SilentAfter != 10*time.Second || stand.Bounce != 0 || stand.Line != (Line{4800, 7, ParityEven, 2, true, false, HandshakeXONXOFF}) {
		t.Errorf("stand: %+v", stand)
	}
	if depth := byID["depth"]; depth.Poll != 2*time.Second || depth.SilentAfter != 6*time.Second {
		t.Errorf("depth: %+v", depth)
	}
	if asked := byID["asked"]; asked.Poll != 0 || asked.SilentAfter != 0 {
		t.Errorf("asked: %+v", asked)
	}
	if remote := byID["remote"]; !remote.Outside || remote.Layout != nil || remote.Resolution != 10_000_000 {
		t.Errorf("remote: %+v", remote)
	}
	if comma := byID["comma"]; comma.Unit != gauge.Millimetre || comma.SilentAfter != DefaultSilentAfter {
		t.Errorf("comma: %+v", comma)
	}
}

// TestTypedGauge: what is known of a gauge without a connection, and no line.
func TestTypedGauge(t *testing.T) {
	gauges, err := readGauges(t, "a: {typed: yes, unit: mm, resolution: 0.01, error: 0.004, pitch: 0.02, presets: [25, 0.5]}\nb: {typed: yes, unit: mm}\nc: {typed: no, outside: yes}")
	if err != nil {
		t.Fatal(err)
	}
	a := gauges[0]
	if !a.Typed || a.Mode != gauge.ModeTyped || a.Resolution != 10_000_000 || *a.Ability.Error != 4_000_000 || a.Pitch != 20_000_000 || len(a.Presets) != 2 || a.Presets[1] != 500_000_000 || a.Line != DefaultLine || gauges[2].Typed {
		t.Errorf("%+v", gauges)
	}
	if lines := ByLine(gauges); len(lines) != 0 {
		t.Errorf("on lines: %+v", lines)
	}
}

func TestBadGauges(t *testing.T) {
	cases := []struct{ name, content, want string }{
		{"no unit", "a: {layout: signed-line, port: /dev/a}", `f:1:4: "unit" is missing: the frames of the layout signed-line do not carry it`},
		{"two units", "a: {layout: decimal-comma, port: /dev/a, unit: in}", `f:1:48: the unit is in, but the layout decimal-comma gives mm`},
		{"unit that never comes", "a: {layout: value-with-unit, port: /dev/a, unit: um}", `f:1:50: the layout value-with-unit never gives um`},
		{"no layout of that name", "a: {layout: sined, port: /dev/a}", `f:1:13: there is no layout "sined": there are bcd-digits, channel-and-value, clocked-bits, decimal-comma, request-channel, request-reply, signed-line, value-with-unit`},
		{"no layout", "a: {port: /dev/a}", `f:1:4: "layout" is missing: name the layout of the gauge's frames, or write "outside: yes" for a gauge that a program feeds, or "typed: yes" for one that is read by eye`},
		{"no port", "a: {layout: value-with-unit}", `f:1:4: the gauge has no port: write "port" with a path such as /dev/serial/by-id/..., "usb" with the serial number of its adapter, or "tcp" with host:port of a serial server`},
		{"no serial server", `a: {layout: value-with-unit, tcp: "serial-server"}`, `f:1:35: "serial-server" is not the address of a serial server: write host:port, such as serial-server:4001`},
		{"port 0 of a serial server", `a: {layout: value-with-unit, tcp: "host:0"}`, `f:1:35: "host:0" is not the address of a serial server: write host:port, such as serial-server:4001`},
		{"serial server and port", `a: {layout: value-with-unit, tcp: "host:1", port: /dev/a}`, `f:1:51: "tcp" says already where the gauge is: keep one of them`},
		{"line of a serial server", `a: {layout: value-with-unit, tcp: "host:1", line: {speed: 1200}}`, `f:1:51: how the line is set is the affair of the serial server: set it there, or use "rfc2217" if the server can do that`},
		{"one serial server twice", "a: {layout: value-with-unit, tcp: \"h:1\"}\nb: {layout: value-with-unit, tcp: \"h:1\"}", `f:2:35: gauge "b" is on the same port as gauge "a" (tcp h:1): a port has one gauge, unless they are asked one by one, or the frames of their one layout say the channel`},
		{"two ways to a serial server", `a: {layout: value-with-unit, tcp: "host:1", rfc2217: "host:2"}`, `f:1:54: "tcp" says already where the gauge is: keep one of them`},
		{"no port of a serial server", `a: {layout: value-with-unit, rfc2217: host}`, `f:1:39: "host" is not the address of a serial server: write host:port, such as serial-server:4001`},
		{"keyboard that is asked", "a: {layout: request-reply, keyboard: KB1}", `f:1:38: a gauge that types like a keyboard cannot be asked`},
		{"keyboard and port", "a: {layout: value-with-unit, keyboard: KB1, port: /dev/a}", `f:1:51: "keyboard" says already where the gauge is: keep one of them`},
		{"no channel", "a: {layout: channel-and-value, port: /dev/a}", `f:1:4: "channel" is missing: by it the layout channel-and-value tells the gauges on a line apart`},
		{"channel of a layout without", "a: {layout: value-with-unit, port: /dev/a, channel: 1}", `f:1:53: the layout value-with-unit has no channels`},
		{"channel that never comes", "a: {layout: channel-and-value, port: /dev/a, channel: 1}", `f:1:55: the layout channel-and-value never gives the channel "1"`},
		{"channel twice", "a: {layout: channel-and-value, port: /dev/a, channel: 01}\nb: {layout: channel-and-value, port: /dev/a, channel: 01}", `f:2:38: gauge "b" is on the same port as gauge "a" (port /dev/a): both have the channel "01"`},
		{"channels of two layouts", "a: {layout: channel-and-value, port: /dev/a, channel: 01}\nb: {layout: value-with-unit, port: /dev/a}", `f:2:36: gauge "b" is on the same port as gauge "a" (port /dev/a): a port has one gauge, unless they are asked one by one, or the frames of their one layout say the channel`},
		{"two modes of a box", "a: {layout: channel-and-value, port: /dev/a, channel: 01}\nb: {layout: channel-and-value, port: /dev/a, channel: 02, mode: button}", `f:2:38: gauge "b" is on the same port as gauge "a" (port /dev/a): both have the mode stream, or neither`},
		{"two settings of a line", "a: {layout: request-channel, port: /dev/a, channel: A}\nb: {layout: request-channel, port: /dev/a, channel: B, line: {speed: 1200}}", `f:2:36: gauge "b" is on the same port as gauge "a" (port /dev/a): the line cannot be set in two ways`},
		{"channel that cannot be asked", "a: {layout: request-channel, port: /dev/a, channel: \"\\r\"}", `f:1:53: the channel "\r" has characters that cannot stand in a request`},
		{"two ports", "a: {layout: value-with-unit, port: /dev/a, usb: X}", `f:1:49: "port" and "usb" both say where the gauge is: keep one of them`},
		{"outside with a port", "a: {outside: yes, port: /dev/a}", `f:1:25: a gauge that is fed from outside has no "port" here`},
		{"typed with a port", "a: {typed: yes, unit: mm, port: /dev/a}", `f:1:33: a gauge that is read by eye and typed in has no "port"`},
		{"typed without unit", "a: {typed: yes}", `f:1:4: "unit" is missing: in which unit is the gauge read?`},
		{"typed and outside", "a: {typed: yes, outside: yes, unit: mm}", `f:1:12: "outside" and "typed" both say where the readings come from: keep one of them`},
		{"resolution without unit", "a: {layout: value-with-unit, port: /dev/a, resolution: 0.001}", `f:1:56: "resolution" is in the gauge's unit: state "unit" too, and frames in another unit will be rejected`},
		{"no resolution", "a: {outside: yes, unit: mm, resolution: 0}", `f:1:41: 0 must be greater than zero`},
		{"poll of a button", "a: {layout: value-with-unit, port: /dev/a, poll: 1s}", `f:1:50: only a gauge with mode poll is asked`},
		{"mode without request", "a: {layout: value-with-unit, port: /dev/a, mode: poll}", `f:1:50: the layout value-with-unit has mode button: a gauge is polled exactly when its layout has a request`},
		{"silence of a button", "a: {layout: value-with-unit, port: /dev/a, silent_after: 3s}", `f:1:58: a gauge that sends only when somebody wants a reading is never silent`},
		{"bounce of a stream", "a: {layout: value-with-unit, port: /dev/a, mode: stream, bounce: 1s}", `f:1:66: only a gauge with mode button bounces`},
		{"poll too short", "a: {layout: request-reply, port: /dev/a, poll: 1ms}", `f:1:48: "1ms" is too short: at least 10ms`},
		{"line", "a: {layout: value-with-unit, port: /dev/a, line: {speed: 1, bits: 9, parity: mark, stop: 3}}", "" +
			"f:1:58: \"1\" is not a whole number from 50 to 4000000\nf:1:67: \"9\" is not a whole number from 7 to 8\n" +
			"f:1:78: \"mark\" is not known here: use none, even, odd\nf:1:90: \"3\" is not a whole number from 1 to 2"},
		{"handshake and RTS", "a: {layout: value-with-unit, port: /dev/a, line: {rts: yes, handshake: rts/cts}}", `f:1:56: the handshake rts/cts drives RTS: leave "rts" out, or choose another handshake`},
		{"no such handshake", "a: {layout: value-with-unit, port: /dev/a, line: {dtr: 1, handshake: dtr/dsr}}", "f:1:56: \"1\" is not known here: use yes, no, true, false\nf:1:70: \"dtr/dsr\" is not known here: use none, rts/cts, xon/xoff"},
		{"unknown key", "a: {outside: yes, baud: 1}", `f:1:19: "baud" is not a key here: did you mean line?`},
		{"pitch", "a: {typed: yes, unit: mm, pitch: 0}", `f:1:34: 0 must be greater than zero`},
		{"pitch without unit", "a: {outside: yes, pitch: 0.02}", `f:1:26: "pitch" is in the gauge's unit: state "unit" too`},
		{"presets without unit", "a: {outside: yes, presets: [25]}", `f:1:28: "presets" are in the gauge's unit: state "unit" too`},
		{"presets", "a: {typed: yes, unit: mm, presets: [25, x]}", `f:1:41: "x" is not a length: it is not a plain decimal number`},
		{"one USB adapter twice", "a: {layout: value-with-unit, usb: X}\nb: {layout: value-with-unit, usb: X}", `f:2:35: gauge "b" is on the same port as gauge "a" (usb X): a port has one gauge, unless they are asked one by one, or the frames of their one layout say the channel`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := readGauges(t, c.content)
			if err == nil || err.Error() != c.want {
				t.Errorf("\n got %v\nwant %s", err, c.want)
			}
		})
	}
}

func TestTwoNamesOfOnePort(t *testing.T) {
	dir := t.TempDir()
	port, link := filepath.Join(dir, "tty"), filepath.Join(dir, "by-id")
	if err := os.WriteFile(port, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(port, link); err != nil {
		t.Fatal(err)
	}
	_, err := readGauges(t, "a: {layout: value-with-unit, port: "+port+"}\nb: {layout: value-with-unit, port: "+link+"}")
	if err == nil || !strings.HasSuffix(err.Error(), `gauge "b" is on the same port as gauge "a" (port `+resolved(port)+`): a port has one gauge, unless they are asked one by one, or the frames of their one layout say the channel`) {
		t.Errorf("got %v", err)
	}
}

// TestUnknownGaugesAreFed: DTR and RTS are up at every setting that is listened
// at, and the first is the default.
func TestUnknownGaugesAreFed(t *testing.T) {
	if Lines[0] != DefaultLine {
		t.Errorf("the first setting is %+v", Lines[0])
	}
	for _, line := range Lines {
		if !line.DTR || !line.RTS || line.Handshake != HandshakeNone {
			t.Errorf("%+v", line)
		}
	}
}
