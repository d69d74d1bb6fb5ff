package devices

import (
	"encoding/binary"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// key is an event as the kernel writes it: value 1 presses a key, 2 repeats it,
// 0 lets it go.
func key(kind, code uint16, value uint32) []byte {
	e := make([]byte, eventSize)
	binary.NativeEndian.PutUint16(e[eventSize-8:], kind)
	binary.NativeEndian.PutUint16(e[eventSize-6:], code)
	binary.NativeEndian.PutUint32(e[eventSize-4:], value)
	return e
}

func TestKeysGiveCharacters(t *testing.T) {
	p := &keyboardPort{gives: character}
	press := func(code uint16) {
		p.event(key(evKey, code, 1))
		p.event(key(evKey, code, 2)) // a repetition is not a second press
		p.event(key(evKey, code, 0))
		p.event(key(0, 0, 0)) // end of a report
	}
	for code := uint16(2); code <= 13; code++ {
		press(code) // 1 to 0, - and =
	}
	p.event(key(evKey, keyLeftShift, 1))
	press(13) // +
	press(30) // A
	p.event(key(evKey, keyLeftShift, 0))
	for _, code := range []uint16{30, 52, 51, 57, 15, 71, 82, 83, 74, 78, 28, 96, 1, 59} {
		press(code) // the last two, Escape and F1, type nothing
	}
	if got, want := string(p.held), "1234567890-=+Aa., \t70.-+\r\r"; got != want {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

func TestFindKeyboard(t *testing.T) {
	sys := t.TempDir()
	add := func(entry, device, number, keys string) {
		t.Helper()
		adapter := filepath.Join(sys, "devices", device)
		input := filepath.Join(adapter, "input")
		class := filepath.Join(sys, "class", "input", entry)
		if err := errors.Join(
			os.MkdirAll(filepath.Join(input, "capabilities"), 0o755),
			os.MkdirAll(class, 0o755),
			os.WriteFile(filepath.Join(adapter, "serial"), []byte(number+"\n"), 0o644),
			os.WriteFile(filepath.Join(adapter, "idVendor"), []byte("f055\n"), 0o644),
			os.WriteFile(filepath.Join(input, "capabilities", "key"), []byte(keys+"\n"), 0o644),
			os.Symlink(input, filepath.Join(class, "device")),
		); err != nil {
			t.Fatal(err)
		}
	}
	add("event3", "usb1", "KB1", "1000000000007 ff9f207ac14057ff febeffdfffefffff fffffffffffffffe")
	add("event4", "usb2", "KB1", "70000 0 0 0 0") // the mouse part of the same gauge
	add("mouse0", "usb3", "KB1", "fffffffffffffffe")
	if path, err := findUSB(sys, inputClass, "KB1"); path != "/dev/input/event3" || err != nil {
		t.Errorf("got %q, %v", path, err)
	}
	_, err := findUSB(sys, inputClass, "KB2")
	if want := `no USB keyboard has the serial number "KB2"`; err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	d := keyboardDialer{name: "KB2", class: inputClass, sys: sys}
	if d.Present() {
		t.Error("a keyboard that nobody plugged in is present")
	}
}

func TestFileThatIsNoKeyboard(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(path, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	_, err := newKeyboardDialer(path, time.Second).Dial()
	if err == nil || !strings.Contains(err.Error(), "it is not an input device") {
		t.Errorf("got %v", err)
	}
}
