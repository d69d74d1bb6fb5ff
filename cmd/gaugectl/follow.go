package main

import (
	"context"
	"errors"
	"io"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
)

// waits are the pauses between tries to get a lost connection back: they
// double from first to longest, and begin anew after a message has come.
type waits struct{ first, longest time.Duration }

// errEnough ends a follow without an error.
var errEnough = errors.New("enough")

// follower is told what comes over a stream that is kept going.
type follower[Message any] struct {
	begun bool // an outage before the first message is no error either
	open  func(context.Context) (grpc.ServerStreamingClient[Message], error)
	each  func(*Message) error // errEnough ends it
	lost  func(error)          // once per outage
	back  func()               // before the first message after an outage
}

// follow receives until each says that it is enough, the context ends or the
// daemon refuses. A connection that is lost after the first message is opened
// again; one that never came about is an error.
func (f follower[Message]) follow(ctx context.Context, d *daemon) error {
	wait, begun, away := d.retry.first, f.begun, false
	for {
		err := f.receive(ctx, func(m *Message) error {
			if away {
				f.back()
			}
			wait, begun, away = d.retry.first, true, false
			return f.each(m)
		})
		switch {
		case errors.Is(err, errEnough):
			return nil
		case ctx.Err() != nil:
			return ctx.Err()
		case !begun || !isLoss(err):
			return d.explain(err)
		}
		if !away {
			f.lost(d.explain(err))
			away = true
		}
		if err := sleep(ctx, wait); err != nil {
			return err
		}
		wait = min(2*wait, d.retry.longest)
	}
}

// receive opens the stream and hands on its messages. It always ends with an
// error, and with the stream.
func (f follower[Message]) receive(ctx context.Context, each func(*Message) error) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	stream, err := f.open(ctx)
	if err != nil {
		return err
	}
	for {
		message, err := stream.Recv()
		if err != nil {
			return err
		}
		if err := each(message); err != nil {
			return err
		}
	}
}

// isLoss reports whether the stream ended because the daemon went away, not
// because it refused.
func isLoss(err error) bool {
	if errors.Is(err, io.EOF) {
		return true
	}
	answer, ok := status.FromError(err)
	return ok && (answer.Code() == codes.Unavailable || answer.Code() == codes.Canceled)
}

func sleep(ctx context.Context, wait time.Duration) error {
	timer := time.NewTimer(wait)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-timer.C:
		return nil
	}
}
