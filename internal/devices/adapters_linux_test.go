package devices

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// adapterTree is a /sys in which a terminal belongs to an adapter with a USB
// serial number.
func adapterTree(t *testing.T) (sys string, plug func(tty, number string)) {
	sys = t.TempDir()
	class := filepath.Join(sys, "class", "tty")
	if err := os.MkdirAll(class, 0o755); err != nil {
		t.Fatal(err)
	}
	return sys, func(tty, number string) {
		t.Helper()
		device := filepath.Join(sys, "devices", "usb"+number, "port")
		entry := filepath.Join(class, filepath.Base(tty))
		if err := errors.Join(
			os.MkdirAll(device, 0o755),
			os.WriteFile(filepath.Join(sys, "devices", "usb"+number, "idVendor"), []byte("0000\n"), 0o644),
			os.WriteFile(filepath.Join(sys, "devices", "usb"+number, "serial"), []byte(number+"\n"), 0o644),
			os.RemoveAll(entry), os.MkdirAll(entry, 0o755), os.Symlink(device, filepath.Join(entry, "device")),
		); err != nil {
			t.Fatal(err)
		}
	}
}

// TestSwappedPlugsAreNoticed: two gauges that are named by their ports, and their
// adapters change places.
func TestSwappedPlugsAreNoticed(t *testing.T) {
	sys, plug := adapterTree(t)
	_, first := terminal(t)
	_, second := terminal(t)
	ports := NewPorts()
	open := func(id, path string) error {
		p, err := serialDialer{line: DefaultLine, path: path, sys: sys, quiet: time.Second, gauge: id, ports: ports}.Dial()
		if err == nil {
			p.Close()
		}
		return err
	}
	both := func() (left, right error) { return open("left", first), open("right", second) }
	plug(first, "SN1")
	plug(second, "SN2")
	if left, right := both(); left != nil || right != nil {
		t.Fatal(left, right)
	}
	plug(first, "SN2")
	plug(second, "SN1")
	left, right := both()
	var swapped *SwappedError
	if !errors.As(left, &swapped) || swapped.Other != "right" || !errors.As(right, &swapped) || swapped.Other != "left" {
		t.Errorf("swapped: %v, %v", left, right)
	}
	want := "the adapter SN2 at " + first + ` was that of gauge right, and gauge left had another: their plugs have changed places; put them back, or name both gauges by "usb", which follows the plug`
	if left == nil || left.Error() != want {
		t.Errorf("got  %v\nwant %s", left, want)
	}
	plug(first, "SN1")
	plug(second, "SN2")
	if left, right := both(); left != nil || right != nil {
		t.Error("put back:", left, right)
	}
	plug(first, "SN3")
	if left, right := both(); left != nil || right != nil {
		t.Error("a new adapter in the place of a broken one:", left, right)
	}
}

// TestAdaptersWithOneNumber: cheap adapters all have the same number, by which
// nothing can be told.
func TestAdaptersWithOneNumber(t *testing.T) {
	ports := NewPorts()
	for range 2 {
		for _, id := range []string{"left", "right"} {
			if err := ports.claim(id, "/dev/x", "0001"); err != nil {
				t.Error(err)
			}
		}
	}
}
