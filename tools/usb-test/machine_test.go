//go:build usb

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

// boot starts a machine with an image of tools/usb-test/build.sh.
func boot(t *testing.T, image string) *machine {
	t.Helper()
	dir := t.TempDir()
	built := "../../bin/usb-test"
	socket := func(name string) string { return filepath.Join(dir, name) }
	qemu := exec.Command("qemu-system-x86_64", "-machine", "q35", "-m", "1024", "-nodefaults", "-nographic", "-no-reboot",
		"-kernel", filepath.Join(built, "vmlinuz"), "-initrd", filepath.Join(built, image),
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
		t.Fatalf("%v: make test-usb installs it", err)
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
