package web

import (
	"context"
	"net/http"
	"sync"
	"time"

	"gauged/internal/access"
	"gauged/internal/gauge"
)

// How many answers are made and sent at once: of one peer, and in all. Each is in memory
// until it is read. The others wait for a while. Streams have places of their own.
const (
	mostAnswersOfPeer = 2
	mostAnswers       = 6
	mostStreamsOfPeer = 200
	mostStreams       = 300
	waitsForPlace     = 10 * time.Second
	readWithin        = 30 * time.Second // an answer; who reads slower gets no more of it
)

// answers are the places of answers that are made and sent.
type answers struct {
	ofPeer, inAll int // at most

	mu    sync.Mutex
	all   int
	peers map[string]int
	freed chan struct{} // closed when a place becomes free
}

func newAnswers(ofPeer, inAll int) *answers {
	return &answers{ofPeer: ofPeer, inAll: inAll, peers: map[string]int{}, freed: make(chan struct{})}
}

// take takes a place for a peer, and waits for one until ctx ends.
func (a *answers) take(ctx context.Context, peer string) (free func(), ok bool) {
	for {
		a.mu.Lock()
		if a.all < a.inAll && a.peers[peer] < a.ofPeer {
			a.all++
			a.peers[peer]++
			a.mu.Unlock()
			return func() { a.leave(peer) }, true
		}
		freed := a.freed
		a.mu.Unlock()
		select {
		case <-freed:
		case <-ctx.Done():
			return nil, false
		}
	}
}

func (a *answers) leave(peer string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.all--
	if a.peers[peer]--; a.peers[peer] == 0 {
		delete(a.peers, peer)
	}
	close(a.freed)
	a.freed = make(chan struct{})
}

// places are those of answers, and those of streams.
type places struct{ short, long *answers }

func newPlaces() places {
	return places{newAnswers(mostAnswersOfPeer, mostAnswers), newAnswers(mostStreamsOfPeer, mostStreams)}
}

// in answers on a route where there is a place for it, within a time. A stream does not wait for one.
func (p places) in(one *route, next http.Handler) http.Handler {
	of, within := p.short, waitsForPlace
	if one.events {
		of, within = p.long, 0
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		ctx, cancel := context.WithTimeout(r.Context(), within)
		free, ok := of.take(ctx, access.PeerAt(r.RemoteAddr))
		cancel()
		if !ok {
			w.Header().Set("Retry-After", "5")
			refuse(w, r, &httpError{http.StatusServiceUnavailable, gauge.Say("refusal.http.busy")})
			return
		}
		defer free()
		if one.events {
			next.ServeHTTP(w, r)
			return
		}
		t := &timed{ResponseWriter: w, to: http.NewResponseController(w)}
		_ = t.to.SetWriteDeadline(time.Time{}) // of the answer before, on this connection
		next.ServeHTTP(t, r)
	})
}

// timed is an answer that is to be read within a time, from its first byte.
type timed struct {
	http.ResponseWriter
	to    *http.ResponseController
	begun bool
}

func (t *timed) begin() {
	if !t.begun {
		t.begun = true
		_ = t.to.SetWriteDeadline(time.Now().Add(readWithin))
	}
}

// Write sends a part.
func (t *timed) Write(b []byte) (int, error) {
	t.begin()
	return t.ResponseWriter.Write(b)
}

// WriteHeader sends the head.
func (t *timed) WriteHeader(status int) {
	t.begin()
	t.ResponseWriter.WriteHeader(status)
}

// Unwrap is what it writes to.
func (t *timed) Unwrap() http.ResponseWriter { return t.ResponseWriter }
