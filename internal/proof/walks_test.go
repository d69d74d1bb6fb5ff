package proof

import (
	"context"
	"errors"
	"testing"
	"time"

	"gauged/internal/history/chain"
)

// walked is a store whose chain takes long to walk.
type walked struct {
	Store
	begun chan struct{}
	end   chan struct{}
}

func (w walked) Verify(context.Context, ...chain.Head) (*chain.Verification, error) {
	w.begun <- struct{}{}
	<-w.end
	return &chain.Verification{}, nil
}

// TestOneWalkAfterTheOther: many who verify the history hold up nobody but each other.
func TestOneWalkAfterTheOther(t *testing.T) {
	store := walked{begun: make(chan struct{}, 2), end: make(chan struct{})}
	a := New(store, "bench", time.Now)
	ended := make(chan error, 1)
	go func() {
		_, _, err := a.VerifyHistory(t.Context(), "")
		ended <- err
	}()
	<-store.begun
	given, cancel := context.WithCancel(t.Context())
	cancel()
	if _, _, err := a.VerifyHistory(given, ""); !errors.Is(err, context.Canceled) || len(store.begun) > 0 {
		t.Errorf("%v, and %d walk beside the first", err, len(store.begun))
	}
	close(store.end)
	if err := <-ended; err != nil {
		t.Error(err)
	}
	if _, _, err := a.VerifyHistory(t.Context(), ""); err != nil {
		t.Error(err)
	}
}
