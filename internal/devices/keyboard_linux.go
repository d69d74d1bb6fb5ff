package devices

import (
	"encoding/binary"
	"errors"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"
	"unsafe"

	"gauged/internal/gauge"

	"golang.org/x/sys/unix"
)

// keyboardDialer opens a gauge that types its readings as a keyboard does. The
// keyboard is taken for us alone, so that no reading lands in another window.
type keyboardDialer struct {
	name  string // path of the event device, or USB serial number
	class deviceClass
	gives func(code uint16, shift bool) (byte, bool) // what a key gives to the reader
	sys   string
	quiet time.Duration
}

func (d keyboardDialer) path() (string, error) {
	if strings.HasPrefix(d.name, "/") {
		return d.name, nil
	}
	return findUSB(d.sys, d.class, d.name)
}

func (d keyboardDialer) Present() bool {
	path, err := d.path()
	if err != nil {
		return !errors.Is(err, fs.ErrNotExist) // Dial reports any other error
	}
	_, err = os.Stat(path)
	return !os.IsNotExist(err)
}

// grab is the request by which a program takes an input device for itself
// (EVIOCGRAB of linux/input.h).
const grab = 0x40044590

func (d keyboardDialer) Dial() (Port, error) {
	path, err := d.path()
	if err != nil {
		return nil, err
	}
	file, err := os.OpenFile(resolved(path), os.O_RDONLY|unix.O_NONBLOCK, 0)
	switch {
	case errors.Is(err, fs.ErrPermission):
		return nil, forbidden(path, whose(path))
	case err != nil:
		return nil, cannotOpen(path, err)
	}
	p := &keyboardPort{file: file, quiet: d.quiet, gives: d.gives}
	if err := p.grab(); err != nil {
		file.Close()
		if errors.Is(err, unix.EBUSY) {
			return nil, taken(path)
		}
		return nil, &OpenError{path, gauge.Say("because.open.not-input", gauge.Because("why", err)), err}
	}
	return p, nil
}

func (d keyboardDialer) String() string { return "keyboard " + d.name }

// keyboardPort reads the characters that are typed.
type keyboardPort struct {
	file  *os.File
	quiet time.Duration
	gives func(code uint16, shift bool) (byte, bool)
	shift bool
	held  []byte // characters that did not fit into the last Read
}

func (p *keyboardPort) grab() error {
	raw, err := p.file.SyscallConn()
	if err != nil {
		return err
	}
	var grabbing error
	if err := raw.Control(func(fd uintptr) { grabbing = unix.IoctlSetInt(int(fd), grab, 1) }); err != nil {
		return err
	}
	return grabbing
}

// eventSize is the size of a struct input_event, which has two C longs.
const eventSize = 2*int(unsafe.Sizeof(uintptr(0))) + 8

// evKey is the type of a key's event; value 1 is a press, 2 a repetition.
const evKey = 1

func (p *keyboardPort) Read(buf []byte) (int, error) {
	for deadline := time.Now().Add(p.quiet); len(p.held) == 0; {
		if p.file.SetReadDeadline(deadline) != nil {
			return 0, os.ErrClosed
		}
		events := make([]byte, 64*eventSize)
		n, err := p.file.Read(events)
		if err != nil {
			if errors.Is(err, syscall.ENODEV) {
				err = errUnplugged
			}
			return 0, err
		}
		for ; n >= eventSize; n -= eventSize {
			p.event(events[:eventSize])
			events = events[eventSize:]
		}
	}
	n := copy(buf, p.held)
	p.held = p.held[n:]
	return n, nil
}

// event takes in one event of the kernel.
func (p *keyboardPort) event(e []byte) {
	at := eventSize - 8
	kind, code, value := binary.NativeEndian.Uint16(e[at:]), binary.NativeEndian.Uint16(e[at+2:]), binary.NativeEndian.Uint32(e[at+4:])
	switch {
	case kind != evKey:
	case code == keyLeftShift || code == keyRightShift:
		p.shift = value != 0
	case value == 1:
		if c, ok := p.gives(code, p.shift); ok {
			p.held = append(p.held, c)
		}
	}
}

// Write has nobody to go to: a keyboard is not asked.
func (p *keyboardPort) Write([]byte) (int, error) {
	return 0, errors.New("a gauge that types like a keyboard cannot be asked")
}

func (p *keyboardPort) Close() error { return p.file.Close() }

// inputClass lists keyboards: input devices that have a key for Enter.
var inputClass = keysClass("keyboard", keyEnter)

// keysClass lists input devices that have one of the keys.
func keysClass(what string, codes ...uint16) deviceClass {
	return deviceClass{
		name: "input", what: what, key: "keyboard", byPath: "/dev/input/by-path",
		path: func(class, entry string) (string, bool) {
			if !strings.HasPrefix(entry, "event") {
				return "", false
			}
			keys, err := os.ReadFile(filepath.Join(class, entry, "device", "capabilities", "key"))
			return "/dev/input/" + entry, err == nil && slices.ContainsFunc(codes, func(code uint16) bool { return hasKey(string(keys), code) })
		},
	}
}

// hasKey reports whether a key is among those that the kernel lists: words in
// hex of the machine's width, the lowest last.
func hasKey(keys string, code uint16) bool {
	words := strings.Fields(keys)
	at := len(words) - 1 - int(code)/strconv.IntSize
	if at < 0 {
		return false
	}
	word, err := strconv.ParseUint(words[at], 16, strconv.IntSize)
	return err == nil && word>>(int(code)%strconv.IntSize)&1 == 1
}

func newKeyboardDialer(name string, quiet time.Duration) Dialer {
	return keyboardDialer{name, inputClass, character, sysRoot, quiet}
}

// newSwitchDialer opens a foot switch. Its port gives the number in Meanings of
// what each press is for.
func newSwitchDialer(s Switch) Dialer {
	gives := func(code uint16, _ bool) (byte, bool) {
		at := slices.Index(Meanings, s.Keys[code])
		return byte(at), at >= 0
	}
	return keyboardDialer{s.Keyboard, keysClass("foot switch", slices.Collect(maps.Keys(s.Keys))...), gives, sysRoot, defaultPause}
}
