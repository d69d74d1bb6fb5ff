package server

import (
	"io"
	"math/rand/v2"
	"net"
	"sync"
	"testing"
)

// proxy passes bytes between a listener and a socket, and cuts each connection
// after some number of them, which may be in the middle of a message.
type proxy struct {
	listener net.Listener
	target   string
	running  sync.WaitGroup

	mu    sync.Mutex
	rand  *rand.Rand
	most  int64 // bytes of a connection, either way; 0: never cut
	cuts  int
	conns map[net.Conn]bool
}

func newProxy(t testing.TB, target string, seed uint64) *proxy {
	t.Helper()
	l, err := net.Listen("unix", socketPath(t))
	if err != nil {
		t.Fatal(err)
	}
	p := &proxy{listener: l, target: target, rand: rand.New(rand.NewPCG(seed, 0)), conns: map[net.Conn]bool{}}
	p.running.Go(p.accept)
	t.Cleanup(func() {
		_ = l.Close()
		p.closeAll()
		p.running.Wait()
	})
	return p
}

func (p *proxy) address() string { return p.listener.Addr().String() }

func (p *proxy) accept() {
	for {
		near, err := p.listener.Accept()
		if err != nil {
			return
		}
		far, err := net.Dial("unix", p.target)
		if err != nil { // the daemon is down just now
			_ = near.Close()
			continue
		}
		p.hold(near, far)
	}
}

func (p *proxy) hold(near, far net.Conn) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.conns[near], p.conns[far] = true, true
	there, back := int64(-1), int64(-1)
	if p.most > 0 {
		there, back = p.rand.Int64N(p.most), p.rand.Int64N(p.most)
	}
	p.running.Go(func() { p.pass(near, far, there) })
	p.running.Go(func() { p.pass(far, near, back) })
}

// pass copies so many bytes, -1 for all, and then closes both ends.
func (p *proxy) pass(from, to net.Conn, bytes int64) {
	if bytes < 0 {
		_, _ = io.Copy(to, from)
	} else if n, _ := io.CopyN(to, from, bytes); n == bytes {
		p.mu.Lock()
		p.cuts++
		p.mu.Unlock()
	}
	_, _ = from.Close(), to.Close()
}

func (p *proxy) closeAll() {
	p.mu.Lock()
	defer p.mu.Unlock()
	for c := range p.conns {
		_ = c.Close()
	}
}

// cutAfter sets the most bytes of the connections that follow.
func (p *proxy) cutAfter(most int64) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.most = most
}

func (p *proxy) count() int {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.cuts
}
