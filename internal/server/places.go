package server

import "sync"

// places counts the calls that are open, of each peer and in all.
type places struct {
	mu   sync.Mutex
	all  int
	peer map[string]int
}

// enter takes a place for a call of a peer; false: it has too many, or all have.
func (p *places) enter(peer string) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.all >= mostCallsInAll || p.peer[peer] >= mostCallsOfPeer {
		return false
	}
	if p.peer == nil {
		p.peer = map[string]int{}
	}
	p.all++
	p.peer[peer]++
	return true
}

// leave gives a place back.
func (p *places) leave(peer string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.all--
	if p.peer[peer]--; p.peer[peer] == 0 {
		delete(p.peer, peer)
	}
}
