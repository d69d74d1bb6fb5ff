package app

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"time"

	"gauged/client"
)

// Waits are the pauses between tries to get a lost connection back.
type Waits struct{ First, Longest time.Duration }

// ErrEnough ends a follow without an error.
var ErrEnough = errors.New("enough")

// Follow hands on what a watch gives until each says that it is enough, the context ends or
// the daemon refuses.
func Follow[Message any](d *Daemon, events iter.Seq2[client.Event[Message], error], each func(*Message) error) error {
	for event, err := range events {
		if err == nil {
			err = each(event.Message)
		}
		switch {
		case errors.Is(err, ErrEnough):
			return nil
		case err != nil:
			return d.Explain(err)
		}
	}
	return nil
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
