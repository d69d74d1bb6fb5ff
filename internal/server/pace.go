package server

import (
	"sync"

	"golang.org/x/time/rate"
)

// How much is read of one peer in a second, on all of its connections, and how much of
// that at once; each frame counts as some bytes more, for what it takes to look at it.
// It is many times what the fastest sender of readings sends. Without it two hundred
// connections that are always full take turns with a gauge.
const (
	mostReadASecond = 32 << 20
	mostReadAtOnce  = 2 << 20
	perFrameRead    = 1024
)

// paces are the paces at which peers are read.
type paces struct {
	mu    sync.Mutex
	peers map[string]*pace
}

// pace is that of one peer.
type pace struct {
	*rate.Limiter
	conns int
}

// enter returns the pace of a peer, for one more of its connections.
func (p *paces) enter(peer string) *pace {
	p.mu.Lock()
	defer p.mu.Unlock()
	one := p.peers[peer]
	if one == nil {
		one = &pace{Limiter: rate.NewLimiter(mostReadASecond, mostReadAtOnce)}
		p.peers[peer] = one
	}
	one.conns++
	return one
}

// leave takes a connection away.
func (p *paces) leave(peer string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if one := p.peers[peer]; one.conns > 1 {
		one.conns--
	} else {
		delete(p.peers, peer)
	}
}
