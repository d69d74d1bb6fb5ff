package shelf

import (
	"context"
	"errors"
	"strings"
	"testing"

	"gauged/internal/library"
)

// TestReadThatHangs: who waits for files on a disk that does not answer may leave. No
// second reading begins before that one has ended, and it puts nothing in force.
func TestReadThatHangs(t *testing.T) {
	r := newRig(t)
	before, begun, answer := r.station.Library(), make(chan struct{}, 2), make(chan struct{})
	r.Shelf = New(r.station, func(ctx context.Context) (*library.Library, error) {
		begun <- struct{}{}
		<-answer
		return r.read(ctx)
	})
	ctx, leave := context.WithCancel(t.Context())
	left := make(chan error, 1)
	go func() {
		_, err := r.Reload(ctx)
		left <- err
	}()
	<-begun
	leave()
	if err := <-left; !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	if _, err := r.Reload(ctx); !errors.Is(err, context.Canceled) || len(begun) > 0 {
		t.Errorf("%d readings, %v", len(begun), err)
	}
	close(answer)
	if _, err := r.Reload(t.Context()); err != nil {
		t.Error(err)
	}
	if r.station.Library() == before {
		t.Error("the reading that had time put nothing in force")
	}
}

// TestReadThatPanics: a fault in reading files changes nothing and ends nobody.
func TestReadThatPanics(t *testing.T) {
	r := newRig(t)
	before := r.station.Library()
	_, err := r.Renew(t.Context(), func(context.Context) (*library.Library, error) { panic("of the test") })
	if err == nil || !strings.Contains(err.Error(), "of the test") || r.station.Library() != before {
		t.Error(err)
	}
	if _, err := r.Reload(t.Context()); err != nil {
		t.Errorf("the files of before are not read any more: %v", err)
	}
}
