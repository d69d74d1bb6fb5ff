package server

import (
	"bytes"
	"encoding/binary"
	"io"
	"net"
	"os/user"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/http2"
	"golang.org/x/net/http2/hpack"
	"google.golang.org/grpc/codes"

	gaugedv1 "gauged/api/gauged/v1"
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

// TestHalfSentOfOneWhoMayComeIn: the same of one who may make the calls takes what is
// promised, and the connection that has most is ended; another of the same peer goes on.
func TestHalfSentOfOneWhoMayComeIn(t *testing.T) {
	r, socket := mayComeIn(t)
	before := heap()
	var most []*rawConn
	for range 2 {
		c := dialRaw(t, socket)
		for i := range 95 {
			c.open(uint32(2*i + 1))
		}
		c.halfSend(95)
		most = append(most, c)
	}
	if grown := (heap() - before) >> 20; grown > mostHalfSentOfPeer>>20+20 {
		t.Errorf("half sent requests take %d MB", grown)
	}
	for _, c := range most {
		c.ends()
	}
	if _, err := gaugedv1.NewJobServiceClient(r.conn).ListJobs(t.Context(), &gaugedv1.ListJobsRequest{}); err != nil {
		t.Errorf("who sends whole requests: %v", err)
	}
}

// TestHalfSentByteByByte: a request that comes byte by byte takes as little.
func TestHalfSentByteByByte(t *testing.T) {
	_, socket := mayComeIn(t)
	before := heap()
	c := dialRaw(t, socket)
	c.open(1)
	_ = c.conn.SetWriteDeadline(time.Now().Add(20 * time.Second))
	var frame bytes.Buffer
	if err := http2.NewFramer(&frame, nil).WriteData(1, false, []byte{0}); err != nil {
		t.Fatal(err)
	}
	many := bytes.Repeat(frame.Bytes(), 1000)
	sent := 0
	for ; sent < 3_800_000; sent += 1000 {
		if _, err := c.conn.Write(many); err != nil {
			break
		}
	}
	if grown := (heap() - before) >> 20; grown > mostHalfSentOfPeer>>20+20 {
		t.Errorf("%d bytes, each alone, take %d MB", sent, grown)
	}
	c.ends()
}

// TestWholeRequestsTakeNothing: whoever sends whole requests is never ended for it, however
// many they are, and whether they are answered or given up.
func TestWholeRequestsTakeNothing(t *testing.T) {
	r, socket := mayComeIn(t)
	for range 40 { // of 1 MB each
		_, err := gaugedv1.NewJobServiceClient(r.conn).StartJob(t.Context(), &gaugedv1.StartJobRequest{ProcedureId: strings.Repeat("x", 1<<20)})
		wantRefused(t, err, codes.InvalidArgument, "at most")
	}
	c := dialRaw(t, socket)
	for i := range 40 {
		stream := uint32(2*i + 1)
		c.open(stream)
		c.framer.AllowIllegalWrites = true
		for range 60 {
			if err := c.framer.WriteData(stream, false, make([]byte, 16<<10)); err != nil {
				t.Fatal(err)
			}
		}
		if err := c.framer.WriteRSTStream(stream, http2.ErrCodeCancel); err != nil {
			t.Fatal(err)
		}
	}
	select {
	case <-c.ended:
		t.Error("who gave requests up is ended")
	default:
	}
}

// mayComeIn is a station where the user of this test leads jobs, and its socket.
func mayComeIn(t *testing.T) (*closedRig, string) {
	t.Helper()
	me, err := user.Current()
	if err != nil {
		t.Fatal(err)
	}
	r := newClosedRig(t, access.Rules{Users: map[string]access.Grant{me.Username: {Role: access.RoleTechnician}}})
	return r, filepath.Join(filepath.Dir(r.socket), "c")
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
	ended  chan struct{} // closed when the server has ended it
}

// ends waits until the server has ended the connection.
func (c *rawConn) ends() {
	c.t.Helper()
	select {
	case <-c.ended:
	case <-time.After(20 * time.Second):
		c.t.Error("the connection goes on")
	}
}

func dialRaw(t *testing.T, socket string) *rawConn {
	t.Helper()
	conn, err := net.Dial("unix", socket)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	c := &rawConn{t, conn, http2.NewFramer(conn, conn), make(chan struct{})}
	if _, err = io.WriteString(conn, http2.ClientPreface); err == nil {
		err = c.framer.WriteSettings()
	}
	if err != nil {
		t.Fatal(err)
	}
	go func() {
		defer close(c.ended)
		_, _ = io.Copy(io.Discard, conn)
	}()
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
