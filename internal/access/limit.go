package access

import (
	"fmt"
	"log/slog"
	"net"
	"net/netip"
	"sync"
	"sync/atomic"
	"time"
)

// Bounds of the connections that are open at once, through all doors together.
const (
	mostOpen    = 400
	mostPerPeer = 200
)

// Descriptors that are kept for others than connections.
const (
	perLine     = 4  // of a gauge: the port twice, and what is looked at while it is opened
	forTheRest  = 96 // the history, the shop's files, the log, the doors themselves
	fewestDoors = 16
)

// Connections bounds what is open through the doors of a daemon, so that descriptors are
// left for the gauges. Somebody new always comes in; where there are too many, the
// connection that has been silent longest is closed for it: of the same peer where that
// has too many of its own, else of the peer that has the most.
type Connections struct {
	most, perPeer int
	log           *slog.Logger

	mu     sync.Mutex
	open   map[*connection]bool
	peers  map[string]int
	warned time.Time
}

// NewConnections returns the bounds for a daemon with so many lines of gauges.
func NewConnections(lines int, log *slog.Logger) *Connections {
	most := mostOpen
	if limit := descriptors(); limit > 0 {
		most = max(fewestDoors, min(limit-perLine*lines-forTheRest, mostOpen))
	}
	return &Connections{most: most, perPeer: min(mostPerPeer, most), log: log, open: map[*connection]bool{}, peers: map[string]int{}}
}

// At is a listener whose connections count.
func (c *Connections) At(l net.Listener) net.Listener { return &counted{l, c} }

type counted struct {
	net.Listener
	of *Connections
}

func (l *counted) Accept() (net.Conn, error) {
	conn, err := l.Listener.Accept()
	if err != nil {
		return nil, err
	}
	return l.of.enter(conn), nil
}

// connection is one that is open, and when anything last went over it.
type connection struct {
	net.Conn
	of     *Connections
	peer   string
	active atomic.Int64 // in nanoseconds since 1970
	closed sync.Once
}

// enter takes up a connection, and closes another where there are too many.
func (c *Connections) enter(conn net.Conn) net.Conn {
	one := &connection{Conn: conn, of: c, peer: PeerOf(conn)}
	one.active.Store(time.Now().UnixNano())
	c.mu.Lock()
	c.open[one] = true
	c.peers[one.peer]++
	victim := c.tooMany(one.peer)
	say := victim != nil && time.Since(c.warned) > time.Minute
	if say {
		c.warned = time.Now()
	}
	c.mu.Unlock()
	if say {
		c.log.Warn("too many connections are open: those that say nothing longest are closed", "most", c.most, "of_one_peer", c.perPeer, "peer", victim.peer)
	}
	if victim != nil {
		_ = victim.Close()
	}
	return one
}

// tooMany is the connection to close; nil: there is room.
func (c *Connections) tooMany(peer string) (victim *connection) {
	switch {
	case c.peers[peer] > c.perPeer:
	case len(c.open) > c.most:
		for other, n := range c.peers {
			if n > c.peers[peer] {
				peer = other
			}
		}
	default:
		return nil
	}
	for one := range c.open {
		if one.peer == peer && (victim == nil || one.active.Load() < victim.active.Load()) {
			victim = one
		}
	}
	return victim
}

// Close closes the connection and makes room.
func (one *connection) Close() error {
	one.closed.Do(func() {
		c := one.of
		c.mu.Lock()
		defer c.mu.Unlock()
		delete(c.open, one)
		if c.peers[one.peer]--; c.peers[one.peer] == 0 {
			delete(c.peers, one.peer)
		}
	})
	return one.Conn.Close()
}

func (one *connection) Read(b []byte) (int, error) {
	n, err := one.Conn.Read(b)
	one.went(n)
	return n, err
}

func (one *connection) Write(b []byte) (int, error) {
	n, err := one.Conn.Write(b)
	one.went(n)
	return n, err
}

func (one *connection) went(bytes int) {
	if bytes > 0 {
		one.active.Store(time.Now().UnixNano())
	}
}

// NetConn is the connection itself, for who asks the system about it.
func (one *connection) NetConn() net.Conn { return one.Conn }

// PeerAt is the peer of a remote address, as PeerOf has it.
func PeerAt(remote string) string {
	if at, err := netip.ParseAddrPort(remote); err == nil {
		return at.Addr().String()
	}
	return remote
}

// PeerOf tells peers apart: by their address without the port, and on a unix socket by
// the user.
func PeerOf(conn net.Conn) string {
	if at, ok := conn.RemoteAddr().(*net.TCPAddr); ok {
		return at.IP.String()
	}
	if user, _, err := peer(conn); err == nil {
		return fmt.Sprint("user ", user)
	}
	return conn.RemoteAddr().Network()
}
