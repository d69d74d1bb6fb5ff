package devices

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"
)

// Record writes what goes over a gauge's line into a recording until ctx ends,
// through unplugs and replugs. A gauge that is polled is asked at its interval.
// Each chunk that comes in is also handed to heard, and what happens to the line
// to told. The error is that of the first opening, or of writing.
func Record(ctx context.Context, g Gauge, w *RecordingWriter, heard func([]byte, time.Time), told func(string)) error {
	r := recorder{gauge: g, w: w, heard: heard}
	port, err := NewDialer(nil, g).Dial()
	if err != nil {
		return err
	}
	for {
		lost := r.record(ctx, port)
		if r.failed != nil || ctx.Err() != nil {
			return r.failed
		}
		told(lost.Error())
		r.mark(MarkUnplug, lost.Error())
		if port = r.redial(ctx); port == nil {
			return r.failed
		}
		told("the line is back")
		r.mark(MarkReplug, "")
	}
}

type recorder struct {
	gauge  Gauge
	w      *RecordingWriter
	heard  func([]byte, time.Time)
	failed error // to write
	asked  time.Time
}

// record works until the line or the recording fails, or ctx ends.
func (r *recorder) record(ctx context.Context, port Port) error {
	defer closeWith(ctx, port)()
	buf := make([]byte, 4096)
	for {
		if err := r.ask(port); err != nil {
			return err
		}
		n, err := port.Read(buf)
		if at := time.Now(); n > 0 {
			r.failed = errors.Join(r.failed, r.w.Chunk(at, In, buf[:n]))
			r.heard(buf[:n], at)
		}
		switch {
		case r.failed != nil:
			return r.failed
		case err != nil && !errors.Is(err, os.ErrDeadlineExceeded):
			return err
		}
	}
}

// ask sends the request of a polled gauge when it is due.
func (r *recorder) ask(port Port) error {
	if r.gauge.Poll == 0 || time.Since(r.asked) < r.gauge.Poll {
		return nil
	}
	r.asked = time.Now()
	request := r.gauge.Layout.RequestTo(r.gauge.Channel)
	if _, err := port.Write(request); err != nil {
		return fmt.Errorf("ask the gauge: %w", err)
	}
	r.failed = errors.Join(r.failed, r.w.Chunk(r.asked, Out, request))
	return nil
}

func (r *recorder) mark(m Mark, text string) {
	r.failed = errors.Join(r.failed, r.w.Mark(time.Now(), m, text))
}

// redial waits until the line can be opened again; nil when ctx ends.
func (r *recorder) redial(ctx context.Context) Port {
	for {
		if port, err := NewDialer(nil, r.gauge).Dial(); err == nil {
			return port
		}
		select {
		case <-ctx.Done():
			return nil
		case <-time.After(lookEvery):
		}
	}
}
