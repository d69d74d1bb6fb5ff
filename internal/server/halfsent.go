package server

import (
	"context"
	"crypto/tls"
	"log/slog"
	"net"
	"sync"
	"time"

	"gauged/internal/access"
)

// Bounds of what is kept of messages that are half sent.
const (
	mostHalfSent       = 48 << 20 // in all
	mostHalfSentOfPeer = 32 << 20 // on all connections of one peer
	perFrame           = 128      // what the shortest frame takes until its message is whole
)

// halfSent bounds the messages that have begun to come and are not whole. gRPC keeps what it
// has of each until the rest comes, if it ever does. Where there is too much, the connection
// that has most is ended: of the same peer where that has too much, else of the peer
// that has most. Who sends whole messages is never that one.
type halfSent struct {
	log   *slog.Logger
	now   func() time.Time
	paces paces

	mu     sync.Mutex
	all    int
	peers  map[string]*halfSentOf
	warned time.Time
}

// halfSentOf is what a peer has half sent, and on which connections.
type halfSentOf struct {
	bytes int
	conns map[*watchedConn]bool
}

func newHalfSent(log *slog.Logger, now func() time.Time) *halfSent {
	return &halfSent{log: log, now: now, paces: paces{peers: map[string]*pace{}}, peers: map[string]*halfSentOf{}}
}

// watch returns a connection whose half sent messages count.
func (h *halfSent) watch(conn net.Conn) *watchedConn {
	c := &watchedConn{Conn: conn, of: h, peer: access.PeerOf(conn), streams: map[uint32]*halfMessage{}}
	c.pace = h.paces.enter(c.peer)
	open, closed := context.WithCancel(context.Background())
	c.open, c.leaves = open, sync.OnceFunc(func() { closed(); h.paces.leave(c.peer) })
	c.in = frames{before: prefaceLength, begins: c.begins, data: c.came, ends: c.ended}
	c.out = frames{begins: func(byte, uint32) {}, data: func(uint32, []byte) {}, ends: c.ended}
	return c
}

// leave forgets what a connection has, for good. The caller holds h.mu.
func (h *halfSent) leave(c *watchedConn) {
	if !c.left {
		h.add(c, -c.bytes)
		c.left = true
	}
}

// add adds to what a connection has, and returns what its peer has. The caller holds h.mu.
func (h *halfSent) add(c *watchedConn, n int) *halfSentOf {
	of := h.peers[c.peer]
	if of == nil {
		of = &halfSentOf{conns: map[*watchedConn]bool{}}
		h.peers[c.peer] = of
	}
	c.bytes += n
	of.bytes += n
	h.all += n
	of.conns[c] = true
	if c.bytes == 0 {
		delete(of.conns, c)
	}
	if len(of.conns) == 0 {
		delete(h.peers, c.peer)
	}
	return of
}

// count adds to what a connection has, and returns the connection to end; nil: there is room.
// The caller holds h.mu.
func (h *halfSent) count(c *watchedConn, n int) (victim *watchedConn) {
	of := h.add(c, n)
	switch {
	case n < 0:
		return nil
	case of.bytes > mostHalfSentOfPeer:
	case h.all > mostHalfSent:
		for _, other := range h.peers {
			if other.bytes > of.bytes {
				of = other
			}
		}
	default:
		return nil
	}
	for one := range of.conns {
		if victim == nil || one.bytes > victim.bytes {
			victim = one
		}
	}
	h.leave(victim)
	return victim
}

// end ends a connection that has too much, and says so, at most once a minute.
func (h *halfSent) end(c *watchedConn) {
	now := h.now()
	h.mu.Lock()
	say := now.Sub(h.warned).Abs() > time.Minute
	if say {
		h.warned = now
	}
	h.mu.Unlock()
	if say {
		h.log.Warn("too much is half sent: the connection that has most is ended", "most", mostHalfSent, "of_one_peer", mostHalfSentOfPeer, "peer", c.peer)
	}
	conn := c.Conn
	if secured, ok := conn.(*tls.Conn); ok {
		conn = secured.NetConn() // who does not read would hold up its farewell
	}
	_ = conn.Close()
}

// watchedConn is a connection of gRPC. It sees which messages on it are not whole.
type watchedConn struct {
	net.Conn
	of     *halfSent
	peer   string
	pace   *pace
	open   context.Context // ends as it is closed
	leaves func()          // it leaves its pace

	in, out frames // each is used by the one who reads, and the one who writes

	// under of.mu
	streams map[uint32]*halfMessage
	began   int // frames that began to come
	bytes   int
	left    bool
	victims []*watchedConn // of what was shown last
}

// NetConn is the connection itself, for who asks the system about it.
func (c *watchedConn) NetConn() net.Conn { return c.Conn }

// Read reads, ends what has too much, and lets a peer that sends faster than it may wait.
func (c *watchedConn) Read(b []byte) (int, error) {
	n, err := c.Conn.Read(b)
	c.of.mu.Lock()
	before := c.began
	c.in.show(b[:n])
	frames := c.began - before
	victims := c.victims
	c.victims = nil
	c.of.mu.Unlock()
	for _, victim := range victims {
		c.of.end(victim)
	}
	_ = c.pace.WaitN(c.open, min(n+frames*perFrameRead, mostReadAtOnce)) // who was closed meanwhile has nothing to read
	return n, err
}

// Write writes, and sees which calls are answered.
func (c *watchedConn) Write(b []byte) (int, error) {
	n, err := c.Conn.Write(b)
	c.of.mu.Lock()
	c.out.show(b[:n])
	c.of.mu.Unlock()
	return n, err
}

// Close closes the connection. What was half sent on it counts no more.
func (c *watchedConn) Close() error {
	c.of.mu.Lock()
	c.of.leave(c)
	c.of.mu.Unlock()
	c.leaves()
	return c.Conn.Close()
}

// begins: a call begins with its headers. Data of others belongs to calls that are answered.
func (c *watchedConn) begins(kind byte, stream uint32) {
	c.began++
	switch m := c.streams[stream]; {
	case kind == frameHeaders && m == nil:
		c.streams[stream] = &halfMessage{}
	case kind == frameData && m != nil:
		c.add(m, perFrame)
	}
}

func (c *watchedConn) came(stream uint32, part []byte) {
	m := c.streams[stream]
	if m == nil {
		return
	}
	for whole := false; len(part) > 0; {
		before := m.got
		part, whole = m.take(part)
		if c.add(m, m.got-before); whole {
			c.add(m, -m.holds)
			*m = halfMessage{}
		}
	}
}

func (c *watchedConn) ended(kind, flags byte, stream uint32) {
	if kind == frameReset || flags&flagEndStream != 0 && (kind == frameHeaders || kind == frameData) {
		c.forget(stream)
	}
}

func (c *watchedConn) forget(stream uint32) {
	if m := c.streams[stream]; m != nil {
		c.add(m, -m.holds)
		delete(c.streams, stream)
	}
}

func (c *watchedConn) add(m *halfMessage, n int) {
	if c.left {
		return
	}
	m.holds += n
	if victim := c.of.count(c, n); victim != nil {
		c.victims = append(c.victims, victim)
	}
}
