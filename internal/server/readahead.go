package server

import (
	"context"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/server/message"
	"gauged/internal/station"

	gaugedv1 "gauged/api/gauged/v1"
)

// batch is a message with readings of either call.
type batch interface {
	GetSource() string
	GetReadings() []*gaugedv1.IngestedReading
}

// incoming is a decoded message, or the error that ends the stream.
type incoming struct {
	source   string
	readings []station.Ingested
	err      error
}

const (
	// aheadMessages is how many decoded messages may wait for the commit that
	// is running, or parts of longer ones. When they do, the sender is held up by flow control.
	aheadMessages = 8
	// mostAtOnce is how many readings of one sender share a commit.
	mostAtOnce = 1024
)

// readAhead decodes messages while the ones before them are being committed.
// Its goroutine ends after an error of the stream, which comes at the latest
// when the call has returned; the server waits for it after the last call.
func (in *intake) readAhead(ctx context.Context, caller access.Caller, recv func() (batch, error)) <-chan incoming {
	ahead := make(chan incoming, aheadMessages)
	in.readers.Go(func() {
		var highest uint64
		for {
			m := decode(caller, recv, &highest)
			for rest := m.readings; ; {
				m.readings, rest = rest[:min(len(rest), mostAtOnce)], rest[min(len(rest), mostAtOnce):]
				select {
				case ahead <- m:
				case <-ctx.Done():
					return
				}
				if len(rest) == 0 {
					break
				}
			}
			if m.err != nil {
				return
			}
		}
	})
	return ahead
}

// decode reads a message whose readings must be numbered above highest, of gauges that the
// caller feeds.
func decode(caller access.Caller, recv func() (batch, error), highest *uint64) incoming {
	b, err := recv()
	if err != nil {
		return incoming{err: err}
	}
	m := incoming{source: b.GetSource(), readings: make([]station.Ingested, len(b.GetReadings()))}
	for i, r := range b.GetReadings() {
		if err := caller.FeedsGauge(r.GetGaugeId()); err != nil {
			return incoming{err: err}
		}
		if m.readings[i], err = message.FromIngested(r); err != nil {
			return incoming{err: err}
		}
		if r.GetSourceSeq() <= *highest {
			return incoming{err: gauge.WrongInput("refusal.sender.order", gauge.Count("number", r.GetSourceSeq()), gauge.Count("before", *highest))}
		}
		*highest = r.GetSourceSeq()
	}
	return m
}
