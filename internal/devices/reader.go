package devices

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"time"
)

// chunk is what one read gave.
type chunk struct {
	data []byte
	at   time.Time
	err  error // os.ErrDeadlineExceeded: the line was quiet
	// unheard is how long nobody read the line before this: it was not quiet then
	// for all that is known, nor was it busy.
	unheard time.Duration
}

// reader reads a port in its own goroutine until the first lasting error.
type reader struct {
	port   Port
	chunks chan chunk
	quit   chan struct{}
	done   chan struct{}
}

func startReader(port Port) *reader {
	r := &reader{port, make(chan chunk), make(chan struct{}), make(chan struct{})}
	go r.run()
	return r
}

// stop closes the port and waits for the reader.
func (r *reader) stop() {
	close(r.quit)
	r.port.Close() // the line is given up: nobody can use its error
	<-r.done
}

func (r *reader) run() {
	defer close(r.done)
	var unheard time.Duration
	for buf := make([]byte, 4096); ; {
		n, err := r.read(buf)
		at := time.Now()
		select {
		case r.chunks <- chunk{bytes.Clone(buf[:n]), at, err, unheard}:
		case <-r.quit:
			return
		}
		unheard = time.Since(at)
		if err != nil && !errors.Is(err, os.ErrDeadlineExceeded) {
			return
		}
	}
}

// read guards against ports that break their promise: a panic or endless
// success without a byte costs one gauge its session, not the daemon.
func (r *reader) read(buf []byte) (n int, err error) {
	defer func() {
		if p := recover(); p != nil {
			n, err = 0, fmt.Errorf("reading the port failed: %v", p)
		}
	}()
	n, err = r.port.Read(buf)
	if n == 0 && err == nil {
		return 0, io.ErrNoProgress
	}
	return n, err
}
