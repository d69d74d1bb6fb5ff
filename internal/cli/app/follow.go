package app

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
)

// Waits are the pauses between tries to get a lost connection back: they
// double from first to longest, and begin anew after a message has come.
type Waits struct{ First, Longest time.Duration }

// ErrEnough ends a follow without an error.
var ErrEnough = errors.New("enough")

// Follower is told what comes over a stream that is kept going.
type Follower[Message any] struct {
	Begun bool // an outage before the first message is no error either
	Open  func(context.Context) (grpc.ServerStreamingClient[Message], error)
	Each  func(*Message) error // errEnough ends it
	Lost  func(error)          // once per outage
	Back  func()               // before the first message after an outage
}

// Follow receives until each says that it is enough, the context ends or the
// daemon refuses. A connection that is lost after the first message is opened
// again; one that never came about is an error.
func (f Follower[Message]) Follow(ctx context.Context, d *Daemon) error {
	wait, begun, away := d.retry.First, f.Begun, false
	for {
		err := f.receive(ctx, func(m *Message) error {
			if away {
				f.Back()
			}
			wait, begun, away = d.retry.First, true, false
			return f.Each(m)
		})
		switch {
		case errors.Is(err, ErrEnough):
			return nil
		case ctx.Err() != nil:
			return ctx.Err()
		case !begun || !isLoss(err):
			return d.Explain(err)
		}
		if !away {
			f.Lost(d.Explain(err))
			away = true
		}
		if err := Sleep(ctx, wait); err != nil {
			return err
		}
		wait = min(2*wait, d.retry.Longest)
	}
}

// receive opens the stream and hands on its messages. It always ends with an
// error, and with the stream.
func (f Follower[Message]) receive(ctx context.Context, each func(*Message) error) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	stream, err := f.Open(ctx)
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

// Sleep waits, and ends early with the error of ctx.
func Sleep(ctx context.Context, wait time.Duration) error {
	timer := time.NewTimer(wait)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-timer.C:
		return nil
	}
}

// LossText says in a few words why a connection was lost.
func LossText(d *Daemon, err error) string {
	var unreachable *UnreachableError
	if errors.As(err, &unreachable) {
		return fmt.Sprintf("lost the connection to the daemon at %s (%s)", d.Address, unreachable.cause)
	}
	return fmt.Sprintf("lost the connection to the daemon at %s", d.Address)
}
