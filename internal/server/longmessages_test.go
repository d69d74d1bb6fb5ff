package server

import (
	"bytes"
	"context"
	"runtime"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/mem"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/access"
)

// TestCrumbsAreNotDecoded: a message with two million readings that say nothing is refused
// before anything is made of it.
func TestCrumbsAreNotDecoded(t *testing.T) {
	crumbs := mem.BufferSlice{mem.SliceBuffer(bytes.Repeat([]byte{0x12, 0}, maxMessage/2))} // readings = 2
	m := &gaugedv1.IngestReadingsRequest{}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	err := codec().Unmarshal(crumbs, m)
	runtime.ReadMemStats(&after)
	if made := (after.TotalAlloc - before.TotalAlloc) >> 20; err != nil || made > 1 {
		t.Errorf("%v, and %d MB were made", err, made)
	}
	wantStatus(t, statusOf(requested(m)).Err(), codes.InvalidArgument, "there are 2097152 readings, and one call takes at most 20000: nothing was done of it; send fewer at a time")
}

// TestFewLongMessages: few long messages are worked on at once, some wait, and to the others
// it is said; who is done, or gives up, makes room.
func TestFewLongMessages(t *testing.T) {
	c := codec()
	long := mem.BufferSlice{mem.SliceBuffer(append([]byte{0x0a, 0x81, 0x80, 0x04}, bytes.Repeat([]byte("x"), shortMessage+1)...))} // procedure_id = 1
	read := func(ctx context.Context) (*place, error) {
		m := &gaugedv1.StartJobRequest{}
		p := &place{into: m, ctx: ctx}
		if err := c.Unmarshal(long, p); err != nil {
			t.Error(err)
		}
		if m.GetProcedureId() != "" {
			return p, nil
		}
		return p, wasRead(m)
	}
	var working []*place
	for range access.LongBodies {
		p, err := read(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		working = append(working, p)
	}
	ctx, giveUp := context.WithCancel(t.Context())
	done := make(chan error)
	for range mostWaiting {
		go func() {
			p, err := read(ctx)
			p.leave()
			done <- err
		}()
	}
	for len(c.long.waiting) < mostWaiting {
		runtime.Gosched()
	}
	_, err := read(t.Context())
	wantStatus(t, statusOf(err).Err(), codes.ResourceExhausted, "too many long requests are worked on at once: nothing was done of this one; try again")
	working[0].leave()
	if err := <-done; err != nil {
		t.Errorf("one that waited: %v", err)
	}
	giveUp()
	for range mostWaiting - 1 {
		<-done
	}
	for _, p := range working {
		p.leave()
	}
	if len(c.long.working) != 0 || len(c.long.waiting) != 0 {
		t.Errorf("%d work and %d wait for ever", len(c.long.working), len(c.long.waiting))
	}
	p := &place{into: &gaugedv1.StartJobRequest{}, ctx: t.Context()}
	if err := c.Unmarshal(mem.BufferSlice{mem.SliceBuffer{}}, p); err != nil || p.free != nil {
		t.Errorf("a short one has a place: %v", err)
	}
}
