package simulate

import (
	"errors"
	"os"
	"sync"
	"syscall"
	"time"

	"gauged/internal/gauge"
)

// Line is the gauge's end of a serial line: a pseudo-terminal whose other end
// is reached through a link.
type Line struct {
	link string

	mu     sync.Mutex
	master *os.File // nil while unplugged
}

// NewLine returns an unplugged line with the given link.
func NewLine(link string) *Line { return &Line{link: link} }

// Link is the path that a program opens to reach the gauge.
func (l *Line) Link() string { return l.link }

// Plug makes a new pseudo-terminal and the link to it.
func (l *Line) Plug() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.master != nil {
		return gauge.Refused("simulate.plugged", gauge.Text("port", l.link))
	}
	master, name, err := openTerminal()
	if err != nil {
		return gauge.At(err, "simulate.plug", gauge.Text("port", l.link))
	}
	if err := relink(name, l.link); err != nil {
		master.Close()
		return gauge.At(err, "simulate.plug", gauge.Text("port", l.link))
	}
	l.master = master
	return nil
}

// Unplug removes the link and hangs up.
func (l *Line) Unplug() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.master == nil {
		return gauge.Refused("simulate.unplugged", gauge.Text("port", l.link))
	}
	err := errors.Join(os.Remove(l.link), l.master.Close())
	l.master = nil
	return err
}

// Listening reports whether a program has the port open.
func (l *Line) Listening() bool {
	master := l.plugged()
	return master != nil && listening(master)
}

// Write sends bytes to the program that has the port open. Bytes that nobody
// takes are lost without an error.
func (l *Line) Write(raw []byte) (int, error) {
	master := l.plugged()
	if master == nil || !listening(master) {
		return len(raw), nil
	}
	err := writeNow(master, raw)
	if err != nil && !errors.Is(err, syscall.EAGAIN) && !errors.Is(err, os.ErrClosed) && !errors.Is(err, syscall.EIO) {
		return 0, gauge.At(err, "simulate.send", gauge.Text("port", l.link))
	}
	return len(raw), nil
}

// Read waits for bytes from the program that has the port open. It gives
// os.ErrClosed once the line is unplugged.
func (l *Line) Read(buf []byte) (int, error) {
	master := l.plugged()
	if master == nil {
		return 0, os.ErrClosed
	}
	for {
		n, err := master.Read(buf)
		if !errors.Is(err, syscall.EIO) {
			return n, err
		}
		// Nobody has the port open. The kernel does not tell when that
		// changes, so look again soon.
		time.Sleep(5 * time.Millisecond)
	}
}

// SetReadDeadline bounds a Read that waits; it gives os.ErrClosed while unplugged.
func (l *Line) SetReadDeadline(at time.Time) error {
	master := l.plugged()
	if master == nil {
		return os.ErrClosed
	}
	return master.SetReadDeadline(at)
}

func (l *Line) plugged() *os.File {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.master
}

// relink makes the link, in the place of one that an earlier run left.
func relink(target, link string) error {
	if info, err := os.Lstat(link); err == nil && info.Mode()&os.ModeSymlink != 0 {
		if err := os.Remove(link); err != nil {
			return err
		}
	}
	return os.Symlink(target, link)
}
