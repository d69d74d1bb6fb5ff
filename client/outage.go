package client

import (
	"context"
	"errors"
	"io"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"gauged/internal/retry"
)

// Outage is how a stream bears that the daemon is away. It is opened again in any case, with
// pauses that double, until its context ends or the daemon refuses.
type Outage struct {
	// Patient has a daemon that is not there at the beginning waited for. Else that is an
	// error at once, so that a wrong address is noticed.
	Patient bool
	// Lost is told once per outage why. It may be nil.
	Lost func(error)
	// Back is told once per outage, before what comes after it. It may be nil.
	Back func()
}

// line keeps one stream up.
type line struct {
	o     Outage
	again retry.Pauses
	begun bool // the daemon has answered once, or may be away
	away  bool
}

func (c *Client) line(o Outage) *line { return &line{o: o, again: c.pauses, begun: o.Patient} }

// answered notes that the daemon is there.
func (l *line) answered() {
	if l.away && l.o.Back != nil {
		l.o.Back()
	}
	l.again.Reset()
	l.begun, l.away = true, false
}

// ended waits until a stream that ended may be opened again. The error is why it may not.
func (l *line) ended(ctx context.Context, err error) error {
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case !l.begun || !isLoss(err):
		return err
	}
	if !l.away && l.o.Lost != nil {
		l.o.Lost(err)
	}
	l.away = true
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-time.After(l.again.Next()):
		return nil
	}
}

// isLoss reports whether a stream ended because the daemon went away, not because it refused.
func isLoss(err error) bool {
	if errors.Is(err, io.EOF) {
		return true
	}
	answer, ok := status.FromError(err)
	return ok && (answer.Code() == codes.Unavailable || answer.Code() == codes.Canceled)
}
