package devices_test

import (
	"context"
	"errors"
	"os"
	"sync"
	"time"

	"gauged/internal/devices"
	"gauged/internal/simulate"
)

// rests decides when a line is at rest. A busy machine may hold up whoever plays a
// gauge in the middle of a frame for longer than a pause; that is no pause of the
// gauge, so a line of a test rests only when it is told to.
type rests struct {
	mu     sync.Mutex
	wanted chan struct{} // closed when the rest that is waited for has been seen; nil: none is
	read   int           // bytes
}

func newRests() *rests { return &rests{} }

// wait has the line rest once, when all that was sent has been read.
func (r *rests) wait(ctx context.Context) {
	r.mu.Lock()
	seen := make(chan struct{})
	r.wanted = seen
	r.mu.Unlock()
	select {
	case <-seen:
	case <-ctx.Done():
	}
}

// next is the rest that is waited for.
func (r *rests) next() chan struct{} {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.wanted
}

func (r *rests) add(n int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.read += n
}

// has reports whether so many bytes have been read.
func (r *rests) has(n int) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.read >= n
}

func (r *rests) seen(rest chan struct{}) {
	r.mu.Lock()
	defer r.mu.Unlock()
	close(rest)
	r.wanted = nil
}

type restingDialer struct {
	devices.Dialer
	rests *rests
}

func (d restingDialer) Dial() (devices.Port, error) {
	port, err := d.Dialer.Dial()
	if err != nil {
		return nil, err
	}
	return restingPort{port, d.rests}, nil
}

type restingPort struct {
	devices.Port
	rests *rests
}

// Read says that the line is quiet only when a rest was wanted before it began to
// read: what was sent earlier has then been read.
func (p restingPort) Read(buf []byte) (int, error) {
	for {
		rest := p.rests.next()
		n, err := p.Port.Read(buf)
		p.rests.add(n)
		if n > 0 || !errors.Is(err, os.ErrDeadlineExceeded) {
			return n, err
		}
		if rest != nil {
			p.rests.seen(rest)
			return n, err
		}
	}
}

// restingLine is the gauge's end, which waits for the rests of a recording.
type restingLine struct {
	*simulate.Line
	rests  *rests
	before map[int]bool // numbers of bytes before which the gauge rested
	sent   int
}

func (l *restingLine) Write(raw []byte) (int, error) {
	if l.before[l.sent] {
		l.rests.wait(context.Background())
	}
	n, err := l.Line.Write(raw)
	l.sent += n
	return n, err
}

// Unplug hangs up when all that was sent has been read: the kernel throws away the rest.
func (l *restingLine) Unplug() error {
	for end := time.Now().Add(within); !l.rests.has(l.sent); time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			return errors.New("what was sent is not read")
		}
	}
	return l.Line.Unplug()
}

// pausesOf are the numbers of the bytes of a recording before which the gauge was
// quiet for so long.
func pausesOf(rec *devices.Recording, pause time.Duration) map[int]bool {
	before, bytes, last := map[int]bool{}, 0, time.Duration(0)
	for _, e := range rec.Entries {
		if e.Dir != devices.In {
			continue
		}
		if bytes > 0 && e.At-last >= pause {
			before[bytes] = true
		}
		bytes, last = bytes+len(e.Bytes), e.At
	}
	return before
}
