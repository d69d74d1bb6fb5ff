package simulate

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"time"

	"gauged/internal/devices"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// Chunking says how a recording is cut when it is played.
type Chunking string

// The ways to cut a recording.
const (
	AsRecorded  Chunking = "as recorded"
	SingleBytes Chunking = "single bytes"
	OneBlock    Chunking = "one block" // all bytes between two requests or marks at once
)

// requestWithin is how long the program may take to send a recorded request.
const requestWithin = 10 * time.Second

// takenWithin is how long a program may take to read what was sent before the
// line is hung up, which throws away the rest.
const takenWithin = 100 * time.Millisecond

// FarEnd is the gauge's end of a line; *Line is one.
type FarEnd interface {
	io.ReadWriter
	SetReadDeadline(time.Time) error
	Plug() error
	Unplug() error
}

// Replay plays a recording in its own time into a line that is plugged in.
// Where the recording has a request, it waits for the program under test to
// send the same bytes. The function opened waits until the program has the
// port open; it is called at the start and after each replug.
func Replay(ctx context.Context, rec *devices.Recording, far FarEnd, how Chunking, opened func(context.Context) error) error {
	if err := opened(ctx); err != nil {
		return err
	}
	start := time.Now()
	var sent time.Time
	for i, e := range merge(rec.Entries, how) {
		if err := sleepUntil(ctx, start.Add(e.At)); err != nil {
			return err
		}
		var err error
		switch {
		case e.Mark == devices.MarkUnplug:
			if err = sleepUntil(ctx, sent.Add(takenWithin)); err == nil {
				err = far.Unplug()
			}
		case e.Mark == devices.MarkReplug:
			if err = far.Plug(); err == nil {
				err = opened(ctx)
			}
			start = time.Now().Add(-e.At)
		case e.Dir == devices.In:
			err = send(far, e.Bytes, how)
			sent = time.Now()
		case e.Dir == devices.Out:
			err = expect(ctx, far, e.Bytes)
			start = time.Now().Add(-e.At) // the answer's delay counts from the request
		}
		if err != nil {
			return gauge.At(err, "simulate.entry", gauge.Count("entry", i+1))
		}
	}
	return nil
}

// merge joins neighbouring chunks of input where all is one block.
func merge(entries []devices.RecordingEntry, how Chunking) []devices.RecordingEntry {
	if how != OneBlock {
		return entries
	}
	var merged []devices.RecordingEntry
	for _, e := range entries {
		last := len(merged) - 1
		if last >= 0 && merged[last].Dir == devices.In && e.Dir == devices.In {
			merged[last].Bytes = append(bytes.Clone(merged[last].Bytes), e.Bytes...)
			continue
		}
		if e.Mark != devices.MarkNote {
			merged = append(merged, e)
		}
	}
	return merged
}

func send(far io.Writer, raw []byte, how Chunking) error {
	size := len(raw)
	if how == SingleBytes {
		size = 1
	}
	for len(raw) > 0 {
		if _, err := far.Write(raw[:size]); err != nil {
			return err
		}
		raw = raw[size:]
	}
	return nil
}

// expect waits for the program to send exactly these bytes.
func expect(ctx context.Context, far FarEnd, want []byte) error {
	if err := far.SetReadDeadline(time.Now().Add(requestWithin)); err != nil {
		return err
	}
	stop := context.AfterFunc(ctx, func() { far.SetReadDeadline(time.Now()) })
	defer stop()
	got := make([]byte, len(want))
	_, err := io.ReadFull(far, got)
	if errors.Is(err, os.ErrDeadlineExceeded) {
		return errors.Join(ctx.Err(), gauge.Refused("simulate.not-sent", shopfile.Quoted("bytes", string(want)), gauge.Span("within", requestWithin)))
	}
	if err != nil {
		return err
	}
	if !bytes.Equal(got, want) {
		return gauge.Refused("simulate.other-sent", shopfile.Quoted("sent", string(got)), shopfile.Quoted("recorded", string(want)))
	}
	return nil
}

func sleepUntil(ctx context.Context, at time.Time) error {
	timer := time.NewTimer(time.Until(at))
	defer timer.Stop()
	select {
	case <-timer.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}
