//go:build page

package pagetest

import (
	"io"
	"net"
	"strings"
	"sync"
)

// cable is the connection of one screen to the daemon, which can be cut, and
// which can stay whole and carry nothing any more.
type cable struct {
	to   string
	gate sync.RWMutex // held while nothing is carried to the screen

	mu    sync.Mutex // guards what follows
	whole bool
	ends  map[net.Conn]bool
}

// onCable leads a screen's requests over a cable of its own. It is for a screen
// that has opened nothing yet.
func (s *screen) onCable() *cable {
	s.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		s.Fatal(err)
	}
	c := &cable{to: strings.TrimPrefix(s.bench.url, "http://"), whole: true, ends: map[net.Conn]bool{}}
	s.url = "http://" + l.Addr().String()
	var serving sync.WaitGroup
	serving.Go(func() {
		for {
			conn, err := l.Accept()
			if err != nil {
				return
			}
			serving.Go(func() { c.carry(conn) })
		}
	})
	s.Cleanup(func() {
		_ = l.Close()
		c.cut()
		serving.Wait()
	})
	return c
}

// carry copies both ways until one end is gone.
func (c *cable) carry(near net.Conn) {
	defer near.Close()
	far, err := net.Dial("tcp", c.to)
	if err != nil {
		return
	}
	defer far.Close()
	if !c.hold(near, far) {
		return
	}
	var back sync.WaitGroup
	back.Go(func() {
		_, _ = io.Copy(gated{near, &c.gate}, far)
		_ = near.Close()
	})
	_, _ = io.Copy(far, near)
	_ = far.Close()
	back.Wait()
	c.mu.Lock()
	defer c.mu.Unlock()
	delete(c.ends, near)
	delete(c.ends, far)
}

// hold remembers the ends of a connection; it is false while the cable is cut.
func (c *cable) hold(ends ...net.Conn) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, end := range ends {
		c.ends[end] = true
	}
	return c.whole
}

func (c *cable) cut() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.whole = false
	for end := range c.ends {
		_ = end.Close()
	}
	clear(c.ends)
}

func (c *cable) mend() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.whole = true
}

// gated writes while its gate is open.
type gated struct {
	io.Writer
	gate *sync.RWMutex
}

func (g gated) Write(p []byte) (int, error) {
	g.gate.RLock()
	defer g.gate.RUnlock()
	return g.Writer.Write(p)
}

// still has the cable carry nothing to the screen until the function that it
// returns is called.
func (c *cable) still() (again func()) {
	c.gate.Lock()
	return sync.OnceFunc(c.gate.Unlock)
}
