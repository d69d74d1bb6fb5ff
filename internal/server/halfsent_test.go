package server

import (
	"bytes"
	"encoding/binary"
	"io"
	"net"
	"os/user"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"golang.org/x/net/http2"
	"golang.org/x/net/http2/hpack"

	"gauged/internal/access"
)

// TestHalfSentOfNobody: two connections of nobody, each with 95 requests of 3.9 MB that are
// all but sent, take next to no memory.
func TestHalfSentOfNobody(t *testing.T) {
	me, err := user.Current()
	if err != nil {
		t.Fatal(err)
	}
	r := newClosedRig(t, access.Rules{Users: map[string]access.Grant{me.Username: {}}})
	socket := filepath.Join(filepath.Dir(r.socket), "c")
	before := heap()
	for range 2 {
		c := dialRaw(t, socket)
		for i := range 95 {
			c.open(uint32(2*i + 1))
		}
		c.halfSend(95)
	}
	if grown := (heap() - before) >> 20; grown > 30 {
		t.Errorf("half sent requests of nobody take %d MB", grown)
	}
}

// heap is how many bytes are in use.
func heap() int64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc)
}

// rawConn is a connection whose frames are ours.
type rawConn struct {
	t      *testing.T
	conn   net.Conn
	framer *http2.Framer
}

func dialRaw(t *testing.T, socket string) *rawConn {
	t.Helper()
	conn, err := net.Dial("unix", socket)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	c := &rawConn{t, conn, http2.NewFramer(conn, conn)}
	if _, err = io.WriteString(conn, http2.ClientPreface); err == nil {
		err = c.framer.WriteSettings()
	}
	if err != nil {
		t.Fatal(err)
	}
	go func() { _, _ = io.Copy(io.Discard, conn) }()
	return c
}

// open begins a call, and says that its request has 3.9 MB.
func (c *rawConn) open(stream uint32) {
	c.t.Helper()
	var block bytes.Buffer
	enc := hpack.NewEncoder(&block)
	for _, f := range [][2]string{{":method", "POST"}, {":scheme", "http"}, {":path", "/gauged.v1.JobService/StartJob"}, {":authority", "x"}, {"content-type", "application/grpc"}, {"te", "trailers"}} {
		_ = enc.WriteField(hpack.HeaderField{Name: f[0], Value: f[1]})
	}
	err := c.framer.WriteHeaders(http2.HeadersFrameParam{StreamID: stream, BlockFragment: block.Bytes(), EndHeaders: true})
	if err == nil {
		err = c.framer.WriteData(stream, false, binary.BigEndian.AppendUint32([]byte{0}, 3_900_000))
	}
	if err != nil {
		c.t.Fatal(err)
	}
}

// halfSend sends most of what was announced on so many calls, and ends when the server has
// taken it, or the connection.
func (c *rawConn) halfSend(calls int) {
	part := make([]byte, 16<<10)
	_ = c.conn.SetWriteDeadline(time.Now().Add(10 * time.Second))
	for range 3_500_000 / len(part) {
		for i := range calls {
			if c.framer.WriteData(uint32(2*i+1), false, part) != nil {
				return
			}
		}
	}
}
