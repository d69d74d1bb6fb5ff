package access

import (
	"errors"
	"io"
	"log/slog"
	"net"
	"path/filepath"
	"testing"
)

// TestConnectionsMakeRoom: a new connection always comes in, the one that was silent
// longest is closed for it, and one that says something stays.
func TestConnectionsMakeRoom(t *testing.T) {
	c := NewConnections(1, slog.New(slog.DiscardHandler))
	c.most, c.perPeer = 8, 6
	l, err := net.Listen("unix", filepath.Join(t.TempDir(), "s"))
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	door := c.At(l)
	dial := func() (there, here net.Conn) {
		t.Helper()
		there, err := net.Dial("unix", l.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { there.Close() })
		if here, err = door.Accept(); err != nil {
			t.Fatal(err)
		}
		return there, here
	}
	speaker, answering := dial()
	said := make([]byte, 1)
	for range 5 * c.most {
		if _, err := speaker.Write([]byte("x")); err != nil {
			t.Fatal(err)
		}
		if _, err := answering.Read(said); err != nil {
			t.Fatal(err)
		}
		newest, _ := dial()
		c.mu.Lock()
		open := len(c.open)
		c.mu.Unlock()
		if open > c.perPeer {
			t.Fatalf("%d are open", open)
		}
		if _, err := newest.Write([]byte("x")); err != nil {
			t.Errorf("the newest was closed: %v", err)
		}
	}
	silent, first := dial()
	for range c.perPeer {
		dial()
	}
	if _, err := silent.Read(said); !errors.Is(err, io.EOF) {
		t.Errorf("the silent one is open: %v", err)
	}
	if err := first.Close(); !errors.Is(err, net.ErrClosed) {
		t.Error(err)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(c.open) != c.perPeer || len(c.peers) != 1 {
		t.Errorf("%d open, %d peers", len(c.open), len(c.peers))
	}
}

// TestConnectionsOfMany: where all together are too many, the peer that has the most gives.
func TestConnectionsOfMany(t *testing.T) {
	c := NewConnections(1, slog.New(slog.DiscardHandler))
	c.most, c.perPeer = 4, 4
	for _, peer := range []string{"a", "a", "a", "b"} {
		c.open[&connection{peer: peer}] = true
		c.peers[peer]++
	}
	c.open[&connection{peer: "c"}] = true
	c.peers["c"]++
	if v := c.tooMany("c"); v == nil || v.peer != "a" {
		t.Errorf("%+v gives", v)
	}
}
