//go:build usb

// Package usbtest plugs gauges into a real kernel and pulls them out again. The
// kernel runs in a virtual machine with the daemon; make test-usb builds it.
package usbtest

import (
	"bufio"
	"encoding/json"
	"net"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

func TestGaugesOnARealKernel(t *testing.T) {
	m := boot(t)
	m.until("level=INFO", "msg=ready")

	// A UART is set as the definition says; DTR is up and RTS is down.
	m.until("UART signals CTS|DTR|DSR|CD ", "speed 19200 baud", " cs7 ", " parenb ", " -parodd ", " cstopb ", " -crtscts")
	m.until(`msg="gauge is live" gauge=wired`)
	m.send("ttyS1", "+005.000 mm\r\n")
	m.until(`"gauge_id":"wired"`, `"text":"+005.000"`)

	// Plugged in, and pulled out in the middle of a frame.
	plugged := time.Now()
	m.plugAdapter("SN0042")
	m.until(`"gauge_id":"left"`, "LIVE")
	t.Logf("from plug to an open port: %d ms", time.Since(plugged).Milliseconds())
	m.send("SN0042", "+012.345 mm\r\n-000.048 mm\r\n")
	m.until(`"text":"-000.048"`)
	t.Logf("from plug to the first readings in the history: %d ms", time.Since(plugged).Milliseconds())
	m.send("SN0042", "+099.9")
	time.Sleep(200 * time.Millisecond) // the half frame is in the daemon
	m.unplug("SN0042")
	m.until(`"gauge_id":"left"`, "ABSENT")

	// Back under another name, since another adapter has the first one now.
	m.plugAdapter("SN0099")
	m.until("TTY ttyUSB0 SN0099")
	m.until(`"gauge_id":"right"`, "OPENING")
	plugged = time.Now()
	m.plugAdapter("SN0042")
	m.until("TTY ttyUSB1 SN0042")
	m.until(`"gauge_id":"left"`, "LIVE")
	t.Logf("from the second plug to an open port: at most %d ms", time.Since(plugged).Milliseconds())
	m.send("SN0042", "99 mm\r\n") // the rest of the half frame
	m.send("SN0042", "+001.000 mm\r\n")
	m.until(`"gauge_id":"left"`, `"text":"+001.000"`)
	m.send("SN0099", "+002.000 mm\r\n")
	m.until(`"gauge_id":"right"`, `"text":"+002.000"`)

	// Both adapters out and back in the other order: the names change places.
	m.unplug("SN0099")
	m.until(`"gauge_id":"right"`, "ABSENT")
	m.unplug("SN0042")
	m.until(`"gauge_id":"left"`, "ABSENT")
	m.plugAdapter("SN0042")
	m.until("TTY ttyUSB0 SN0042")
	m.until(`"gauge_id":"left"`, "LIVE")
	m.plugAdapter("SN0099")
	m.until("TTY ttyUSB1 SN0099")
	m.until(`"gauge_id":"right"`, "OPENING")
	m.send("SN0099", "+004.000 mm\r\n")
	m.until(`"gauge_id":"right"`, `"text":"+004.000"`)
	m.send("SN0042", "+003.000 mm\r\n")
	m.until(`"gauge_id":"left"`, `"text":"+003.000"`)

	// A gauge that types: nobody else sees its keys.
	m.plugKeyboard("KB1")
	m.until(`"gauge_id":"typed"`, "LIVE")
	m.until("OTHER listens to KB1")
	m.typeKeys("1", "2", "dot", "5", "0", "ret")
	m.until(`"gauge_id":"typed"`, `"text":"12.50"`)
	m.typeKeys("minus", "0", "dot", "0", "5", "ret")
	m.until(`"gauge_id":"typed"`, `"text":"-0.05"`)
	m.unplug("KB1")
	m.until(`"gauge_id":"typed"`, "ABSENT")

	// A keyboard that is no gauge: its keys go where they belong, and nowhere else.
	m.plugKeyboard("KB2")
	m.until("OTHER listens to KB2")
	m.typeKeys("9", "ret")
	m.until("OTHER reads KB2")

	// A job by foot, which nobody else hears of either.
	m.plugKeyboard("FS1")
	m.until(`"gauge_id":"pedal"`, "LIVE")
	m.until("OTHER listens to FS1")
	m.typeKeys("b") // the reading of before
	m.until("JOB", `"stage":"JOB_STAGE_CHOOSE"`, `"text":"+004.000"`)
	m.typeKeys("c")
	m.until("JOB", `"stage":"JOB_STAGE_MEASURE"`, `"discard_reason":"discarded with pedal"`)
	m.send("SN0099", "+001.700 mm\r\n")
	m.until(`"gauge_id":"right"`, `"text":"+001.700"`)
	m.typeKeys("b")
	m.until("JOB", `"stage":"JOB_STAGE_CHOOSE"`, `"text":"+001.700"`)
	for _, stage := range []string{"STAGE_VERIFY", "STAGE_CLOSED"} {
		time.Sleep(time.Second) // a press that is sooner is an accident of the foot
		m.typeKeys("d")
		m.until("JOB", `"stage":"JOB_`+stage+`"`)
	}

	for _, line := range m.seen {
		if strings.HasPrefix(line, "OTHER reads KB1") || strings.HasPrefix(line, "OTHER reads FS1") {
			t.Errorf("another program read keys that are not for it: %s", line)
		}
	}
	want := []reading{
		"wired 1 +005.000", "left 1 +012.345", "left 2 -000.048", "left 3 +001.000", "right 1 +002.000",
		"right 2 +004.000", "left 4 +003.000", "typed 1 12.50", "typed 2 -0.05", "right 3 +001.700",
	}
	if !slices.Equal(m.readings, want) {
		t.Errorf("got  %q\nwant %q", m.readings, want)
	}
}

// machine is the virtual machine, its console line by line, its monitor, and
// the far ends of its UART and its two serial adapters.
type machine struct {
	t        *testing.T
	console  chan string
	seen     []string
	ordered  int // lines that were seen before the last order
	readings []reading
	monitor  *json.Decoder
	orders   net.Conn
	lines    map[string]net.Conn // by the adapter's serial number, or the UART's name
}

func boot(t *testing.T) *machine {
	dir := t.TempDir()
	built := "../../bin/usb-test"
	socket := func(name string) string { return filepath.Join(dir, name) }
	qemu := exec.Command("qemu-system-x86_64", "-machine", "q35", "-m", "512", "-nodefaults", "-nographic", "-no-reboot",
		"-kernel", filepath.Join(built, "vmlinuz"), "-initrd", filepath.Join(built, "initramfs.gz"),
		"-append", "console=ttyS0 quiet panic=-1", "-serial", "stdio", "-device", "qemu-xhci,id=xhci",
		"-qmp", "unix:"+socket("monitor")+",server=on,wait=off",
		"-chardev", "socket,id=ttyS1,path="+socket("ttyS1")+",server=on,wait=off", "-serial", "chardev:ttyS1",
		"-chardev", "socket,id=SN0042,path="+socket("SN0042")+",server=on,wait=off",
		"-chardev", "socket,id=SN0099,path="+socket("SN0099")+",server=on,wait=off")
	out, err := qemu.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	qemu.Stderr = qemu.Stdout
	if err := qemu.Start(); err != nil {
		t.Fatalf("%v: make setup-usb installs it", err)
	}
	m := &machine{t: t, console: make(chan string, 4096), lines: map[string]net.Conn{}}
	t.Cleanup(func() {
		_ = qemu.Process.Kill()
		_ = qemu.Wait()
		if t.Failed() {
			t.Logf("the console:\n%s", strings.Join(m.seen, "\n"))
		}
	})
	go func() {
		defer close(m.console)
		for lines := bufio.NewScanner(out); lines.Scan(); {
			m.console <- strings.TrimSpace(lines.Text())
		}
	}()
	m.orders = dial(t, socket("monitor"))
	m.monitor = json.NewDecoder(m.orders)
	for _, number := range []string{"ttyS1", "SN0042", "SN0099"} {
		m.lines[number] = dial(t, socket(number))
	}
	m.order("qmp_capabilities", map[string]any{})
	return m
}

func dial(t *testing.T, path string) net.Conn {
	t.Helper()
	var err error
	for range 100 {
		var conn net.Conn
		if conn, err = net.Dial("unix", path); err == nil {
			t.Cleanup(func() { conn.Close() })
			return conn
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatal(err)
	return nil
}

// order has the machine's monitor do something.
func (m *machine) order(what string, arguments map[string]any) {
	m.t.Helper()
	m.ordered = len(m.seen)
	if err := json.NewEncoder(m.orders).Encode(map[string]any{"execute": what, "arguments": arguments}); err != nil {
		m.t.Fatal(err)
	}
	for {
		var answer struct {
			Return *json.RawMessage
			Error  *struct{ Desc string }
		}
		if err := m.monitor.Decode(&answer); err != nil {
			m.t.Fatal(err)
		}
		if answer.Error != nil {
			m.t.Fatalf("%s: %s", what, answer.Error.Desc)
		}
		if answer.Return != nil {
			return
		}
	}
}

func (m *machine) plugAdapter(number string) {
	m.t.Helper()
	m.order("device_add", map[string]any{"driver": "usb-serial", "id": number, "bus": "xhci.0", "chardev": number, "serial": number})
}

func (m *machine) plugKeyboard(number string) {
	m.t.Helper()
	m.order("device_add", map[string]any{"driver": "usb-kbd", "id": number, "bus": "xhci.0", "serial": number})
}

func (m *machine) unplug(id string) {
	m.t.Helper()
	m.order("device_del", map[string]any{"id": id})
}

func (m *machine) send(number, frame string) {
	m.t.Helper()
	if _, err := m.lines[number].Write([]byte(frame)); err != nil {
		m.t.Fatal(err)
	}
}

func (m *machine) typeKeys(names ...string) {
	m.t.Helper()
	for _, name := range names {
		m.order("send-key", map[string]any{"keys": []any{map[string]any{"type": "qcode", "data": name}}, "hold-time": 20})
		time.Sleep(100 * time.Millisecond) // the monitor lets a key go on its own time
	}
}

// until waits for a line with all these words that has come since the last
// order, and fails after a minute and a half without one.
func (m *machine) until(words ...string) {
	m.t.Helper()
	has := func(line string) bool { return containsAll(line, words) }
	if slices.ContainsFunc(m.seen[m.ordered:], has) {
		return
	}
	timeout := time.After(90 * time.Second)
	for {
		select {
		case line, open := <-m.console:
			if !open {
				m.t.Fatalf("the machine ended before %q", words)
			}
			m.seen = append(m.seen, line)
			if r, ok := readingOf(m.t, line); ok {
				m.readings = append(m.readings, r)
			}
			if has(line) {
				return
			}
		case <-timeout:
			m.t.Fatalf("no line with %q", words)
		}
	}
}

func containsAll(line string, words []string) bool {
	for _, word := range words {
		if !strings.Contains(line, word) {
			return false
		}
	}
	return true
}

// reading is what a watcher is told of one: "left 1 +012.345" is the first of
// the gauge left.
type reading = string

func readingOf(t *testing.T, line string) (reading, bool) {
	event, ok := strings.CutPrefix(line, "EVENT ")
	if !ok {
		return "", false
	}
	var e struct {
		Reading *struct {
			GaugeID string `json:"gauge_id"`
			Number  string
			Value   struct{ Text string }
		}
	}
	if err := json.Unmarshal([]byte(event), &e); err != nil {
		t.Fatalf("%v: %s", err, line)
	}
	if e.Reading == nil {
		return "", false
	}
	return e.Reading.GaugeID + " " + e.Reading.Number + " " + e.Reading.Value.Text, true
}
