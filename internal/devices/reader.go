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
	// unheard is how long nobody read the line before this, because too many
	// chunks were waiting: whether it was quiet then is not known.
	unheard time.Duration
}

// readAhead is how many chunks wait at most for a session that is busy. The line
// is read meanwhile, so that the pauses between frames are seen.
const readAhead = 64

// reader reads a port in its own goroutine until the first lasting error.
type reader struct {
	port   Port
	chunks chan chunk
	quit   chan struct{}
	done   chan struct{}
}

func startReader(port Port) *reader {
	r := &reader{port, make(chan chunk, readAhead), make(chan struct{}), make(chan struct{})}
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
	quiet := false
	for buf := make([]byte, 4096); ; {
		n, err := r.read(buf)
		before := quiet
		if quiet = errors.Is(err, os.ErrDeadlineExceeded); quiet && before && n == 0 {
			continue // still
		}
		c := chunk{bytes.Clone(buf[:n]), time.Now(), err, unheard}
		select {
		case r.chunks <- c:
			unheard = 0
		default:
			select {
			case r.chunks <- c:
				unheard = time.Since(c.at)
			case <-r.quit:
				return
			}
		}
		if err != nil && !quiet {
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
