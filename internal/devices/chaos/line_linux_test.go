package chaos_test

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"runtime"
	"testing"
	"time"

	"github.com/creack/pty"
	"golang.org/x/sys/unix"

	"gauged/internal/devices"
	"gauged/internal/gauge"
)

// line is a gauge on a pseudo-terminal, the supervisor of its port, and what
// the supervisor must have delivered. One goroutine works with it.
type line struct {
	t      *testing.T
	format *format
	rng    *rand.Rand
	gauge  devices.Gauge
	*seen

	ask  func(context.Context) error
	stop func()

	master *os.File // nil while unplugged
	probe  *os.File // the slave: shows what was not read yet, and keeps its number from being given anew
	former *os.File // the one before
	plugs  int
	began  time.Time

	stretch []byte // written since the port was opened or the line was quiet
	first   bool   // the stretch began when the port was opened
	want    []value
	refused int // rejections that must have been counted
	late    int // answers that this machine gave too late
}

func newLine(t *testing.T, f *format, link string, rng *rand.Rand) *line {
	layout := f.parsed(t)
	return &line{
		t: t, format: f, rng: rng, seen: newSeen(), began: time.Now(),
		gauge: devices.Gauge{
			ID: "gauge", Layout: layout, Port: link, Line: devices.DefaultLine,
			Unit: f.unit, Mode: layout.Mode, Bounce: f.bounce,
		},
	}
}

// fatalf ends the line's script.
func (l *line) fatalf(form string, args ...any) {
	l.t.Errorf("%s (%s): "+form, append([]any{l.gauge.Port, l.format.name}, args...)...)
	runtime.Goexit()
}

func (l *line) must(err error) {
	if err != nil {
		l.fatalf("%v", err)
	}
}

// plug makes a new port, lets prepare do something to it, and waits until the
// supervisor has opened it.
func (l *line) plug(prepare func(port string)) {
	l.makePort()
	if prepare != nil {
		prepare(l.probe.Name())
	}
	l.must(os.Symlink(l.probe.Name(), l.gauge.Port))
	if l.stop == nil {
		l.ask, l.stop = supervise(l.gauge, l.sink)
	}
	l.opens()
}

// opens waits until the supervisor has opened the port.
func (l *line) opens() {
	l.plugs++
	l.must(l.await("opening the port", func() bool { return l.opened == l.plugs }))
	l.stretch, l.first = nil, true
	if l.format.opening != "" {
		l.send([]byte(l.format.opening))
		l.quiet()
	}
}

// makePort makes a pseudo-terminal that does nothing to bytes.
func (l *line) makePort() {
	blocking, slave, err := pty.Open()
	l.must(err)
	defer blocking.Close()
	if l.former != nil {
		l.former.Close()
	}
	l.former, l.probe = l.probe, slave
	settings, err := unix.IoctlGetTermios(int(slave.Fd()), unix.TCGETS)
	l.must(err)
	settings.Iflag, settings.Oflag, settings.Lflag = 0, 0, 0
	settings.Cc[unix.VMIN], settings.Cc[unix.VTIME] = 1, 0
	l.must(unix.IoctlSetTermios(int(slave.Fd()), unix.TCSETS, settings))
	fd, err := unix.FcntlInt(blocking.Fd(), unix.F_DUPFD_CLOEXEC, 0)
	l.must(err)
	l.must(unix.SetNonblock(fd, true))
	l.master = os.NewFile(uintptr(fd), slave.Name())
}

// write gives bytes to the line, as fast as it takes them.
func (l *line) write(raw []byte) {
	l.must(l.master.SetWriteDeadline(time.Now().Add(within)))
	_, err := l.master.Write(raw)
	l.must(err)
}

// send writes bytes that the supervisor will read.
func (l *line) send(raw []byte) {
	l.write(raw)
	l.stretch = append(l.stretch, raw...)
}

// say sends what belongs together: where only a pause keeps frames apart, a
// pause follows.
func (l *line) say(raw []byte) {
	l.send(raw)
	if l.format.paced {
		l.quiet()
	}
}

// quiet waits until a pause has ended what was sent.
func (l *line) quiet() {
	l.judge()
	l.must(l.await("the end of a pause", func() bool { return l.outcomes() >= len(l.want)+l.refused }))
}

// settle waits until all that was sent whole has been reported.
func (l *line) settle() {
	values, refused := l.format.judge(l.stretch, l.first, false)
	total := len(l.want) + l.refused + len(values) + refused
	l.must(l.await(fmt.Sprintf("the report of %d frames and pieces", total), func() bool { return l.outcomes() >= total }))
}

// judge decides what the stretch must give, now that it has ended.
func (l *line) judge() {
	values, refused := l.format.judge(l.stretch, l.first, true)
	l.want, l.refused = append(l.want, values...), l.refused+refused
	l.stretch, l.first = nil, false
}

// drain waits until the supervisor has read every byte: the kernel loses what
// was not read when the line is hung up.
func (l *line) drain() { l.untilUnread(false) }

// arrived waits until bytes that nobody reads can be read.
func (l *line) arrived() { l.untilUnread(true) }

// untilUnread waits until there is something to read from the port, or
// nothing. The poll moves along what is still on its way to the slave, if the
// slave's queue (4096 bytes) was not full.
func (l *line) untilUnread(want bool) {
	if !l.unreadWithin(want, within) {
		l.fatalf("unread bytes stayed %v for %v: %v", !want, within, l.seen)
	}
}

// isReadWithin reports whether all is read within a time.
func (l *line) isReadWithin(time time.Duration) bool { return l.unreadWithin(false, time) }

func (l *line) unreadWithin(want bool, most time.Duration) bool {
	for late := time.Now().Add(most); time.Now().Before(late); time.Sleep(time.Millisecond) {
		polled := []unix.PollFd{{Fd: int32(l.probe.Fd()), Events: unix.POLLIN}}
		n, err := unix.Poll(polled, 0)
		if err != nil && !errors.Is(err, unix.EINTR) {
			l.fatalf("%v", err)
		}
		if err == nil && (n > 0) == want {
			return true
		}
	}
	return false
}

// hangUp pulls the plug once all was read. The link goes before or after.
func (l *line) hangUp() {
	if l.format.paced {
		l.quiet() // whether a pause or the hang-up ends it must not depend on time
	} else {
		l.settle() // while a flood is under way, an empty queue says nothing
	}
	l.drain()
	l.judge()
	early := l.rng.IntN(2) == 0
	if early {
		l.must(os.Remove(l.gauge.Port))
	}
	l.must(l.master.Close())
	l.master = nil
	if !early {
		l.must(os.Remove(l.gauge.Port))
	}
}

// finish hangs up and compares what was delivered with what had to be.
func (l *line) finish() {
	l.hangUp()
	l.must(l.await(fmt.Sprintf("the report of %d values and %d rejections", len(l.want), l.refused), func() bool { return l.outcomes() >= len(l.want)+l.refused }))
	l.giveUp()
	l.mu.Lock()
	defer l.mu.Unlock()
	for i := range max(len(l.want), len(l.values)) {
		switch {
		case i >= len(l.values):
			l.fatalf("value %d was not delivered: %v", i, l.want[i])
		case i >= len(l.want):
			l.fatalf("value %d was never sent: %v", i, l.values[i])
		case l.values[i] != l.want[i]:
			l.fatalf("value %d is\n     %v\nwant %v", i, l.values[i], l.want[i])
		}
	}
	if l.rejections() != l.refused {
		l.fatalf("%d rejections were counted, want %d: %v", l.rejections(), l.refused, l.rejected)
	}
	l.checkThinned()
}

// checkThinned: of each reason ten rejections in a second are listed, and one
// event for the others; a new second begins with a new port.
func (l *line) checkThinned() {
	windows := int(time.Since(l.began)/time.Second) + 2 + l.plugs
	if most := windows * 11 * len(gauge.Reasons); l.listed > most {
		l.fatalf("%d rejections were listed in %v: at most %d", l.listed, time.Since(l.began), most)
	}
	if l.longest > l.format.longest+2 {
		l.fatalf("a rejection holds %d bytes", l.longest)
	}
}

// giveUp ends the supervisor and closes the line. It may be called twice.
func (l *line) giveUp() {
	l.release()
	if l.stop != nil {
		l.stop()
	}
	for _, f := range []*os.File{l.master, l.probe, l.former} {
		if f != nil {
			f.Close()
		}
	}
	l.master, l.probe, l.former = nil, nil, nil
}
