package attack

import (
	"bytes"
	"context"
	"encoding/binary"
	"io"
	"net"
	"path/filepath"
	"sync"
	"time"

	"golang.org/x/net/http2"
	"golang.org/x/net/http2/hpack"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "gauged/api/gauged/v1"
)

// halfSent opens connections, and on each as many calls as it may have. Of the request of
// each it sends most, and then waits, until the connection is ended.
func halfSent(c *caller, n int) {
	const announced, calls = 3_900_000, 100
	var open sync.WaitGroup
	for range n {
		open.Go(func() {
			conn, err := net.Dial("unix", filepath.Join(c.Dir, "s"))
			if err != nil {
				c.Errorf("%v", err)
				return
			}
			defer conn.Close()
			_ = conn.SetDeadline(time.Now().Add(20 * time.Second))
			heard := hear(conn, calls)
			framer := http2.NewFramer(conn, nil)
			_, _ = io.WriteString(conn, http2.ClientPreface)
			_ = framer.WriteSettings()
			for i := range calls {
				_ = framer.WriteHeaders(http2.HeadersFrameParam{StreamID: uint32(2*i + 1), BlockFragment: startJob(), EndHeaders: true})
				_ = framer.WriteData(uint32(2*i+1), false, binary.BigEndian.AppendUint32([]byte{0}, announced))
			}
			<-heard // then the daemon waits for all of each
			part := make([]byte, 16<<10)
			for range announced/len(part) - 1 {
				for i := range calls {
					if framer.WriteData(uint32(2*i+1), false, part) != nil {
						return
					}
				}
			}
		})
	}
	open.Wait()
}

// hear reads what the daemon says, and closes the channel when it has said something to each
// of the calls, or nothing more.
func hear(conn net.Conn, calls int) <-chan struct{} {
	all := make(chan struct{})
	go func() {
		done := sync.OnceFunc(func() { close(all) })
		defer done()
		heard := map[uint32]bool{}
		for framer := http2.NewFramer(nil, conn); ; {
			f, err := framer.ReadFrame()
			if err != nil {
				return
			}
			if heard[f.Header().StreamID] = true; len(heard) > calls { // stream 0 is the connection
				done()
			}
		}
	}()
	return all
}

// startJob is the headers of a call.
func startJob() []byte {
	var block bytes.Buffer
	enc := hpack.NewEncoder(&block)
	for _, f := range [][2]string{{":method", "POST"}, {":scheme", "http"}, {":path", pb.JobService_StartJob_FullMethodName}, {":authority", "x"}, {"content-type", "application/grpc"}, {"te", "trailers"}} {
		_ = enc.WriteField(hpack.HeaderField{Name: f[0], Value: f[1]})
	}
	return block.Bytes()
}

// crumbs sends messages with as many readings as go into one, each of which says nothing.
func crumbs(c *caller, n int) {
	m := &pb.IngestReadingsRequest{Source: "crumbs", Readings: make([]*pb.IngestedReading, 1_900_000)}
	for i, nothing := 0, (&pb.IngestedReading{}); i < len(m.Readings); i++ {
		m.Readings[i] = nothing
	}
	var sending sync.WaitGroup
	for range n {
		sending.Go(func() {
			stream, err := pb.NewGaugeServiceClient(c.conn).IngestReadings(context.Background())
			if err != nil {
				c.Errorf("%v", err)
				return
			}
			_ = stream.Send(m)
			if _, err := stream.Recv(); status.Code(err) != codes.InvalidArgument && status.Code(err) != codes.Unavailable { // it has too much half sent
				c.Errorf("readings that say nothing are answered with %v", err)
			}
		})
	}
	sending.Wait()
}
