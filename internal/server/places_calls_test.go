package server

import (
	"context"
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"

	gaugedv1 "gauged/api/gauged/v1"
)

// TestOpenCallsOfOnePeer: one peer has so many calls open at once, on however many
// connections. The next is told so, and comes in when one has ended.
func TestOpenCallsOfOnePeer(t *testing.T) {
	_, socket := mayComeIn(t)
	var conns []*grpc.ClientConn
	for range mostCallsOfPeer/mostCalls + 1 {
		conns = append(conns, dial(t, socket))
	}
	open := func(i int) (context.CancelFunc, error) {
		ctx, end := context.WithCancel(t.Context())
		stream, err := gaugedv1.NewGaugeServiceClient(conns[i/mostCalls]).WatchReadings(ctx, &gaugedv1.WatchReadingsRequest{})
		if err == nil {
			_, err = stream.Recv()
		}
		return end, err
	}
	var ends []context.CancelFunc
	for i := range mostCallsOfPeer {
		end, err := open(i)
		defer end()
		if err != nil {
			t.Fatalf("call %d: %v", i, err)
		}
		ends = append(ends, end)
	}
	end, err := open(mostCallsOfPeer)
	end()
	wantRefused(t, err, codes.ResourceExhausted, "too many calls are open at once")
	toldBy(t, "one call too many", err)
	ends[0]()
	for err != nil && t.Context().Err() == nil {
		end, err = open(mostCallsOfPeer)
		defer end()
	}
}

// TestPlacesInAll: the calls of all peers together are bounded, and a place is given back.
func TestPlacesInAll(t *testing.T) {
	p := &places{}
	for i := range mostCallsInAll {
		if !p.enter(string(rune('a' + i%3))) {
			t.Fatalf("call %d is refused", i)
		}
	}
	if p.enter("z") {
		t.Error("there is no end to them")
	}
	for i := range mostCallsInAll {
		p.leave(string(rune('a' + i%3)))
	}
	if len(p.peer) != 0 || p.all != 0 || !p.enter("z") {
		t.Errorf("%+v", p)
	}
}

// TestLongHeaders: what a call says of itself before its request is bounded.
func TestLongHeaders(t *testing.T) {
	_, socket := mayComeIn(t)
	ctx := metadata.AppendToOutgoingContext(t.Context(), "x-long", strings.Repeat("x", longestHeaders))
	if _, err := gaugedv1.NewJobServiceClient(dial(t, socket)).ListJobs(ctx, &gaugedv1.ListJobsRequest{}); err == nil {
		t.Error("headers are as long as they like")
	}
}
