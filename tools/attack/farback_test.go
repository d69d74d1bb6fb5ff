package attack

import (
	"context"
	"fmt"
	"io"
	"net"
	"sync"
	"time"

	"google.golang.org/grpc"

	pb "gauged/api/gauged/v1"
)

// farBack asks for all readings from the first on, by calls and as events, and reads nothing.
func farBack(c *caller, n int) {
	raw := make([]byte, 4000)
	send(c, fmt.Sprint("far back ", c.Round), 3000, 300, func(int) *pb.IngestedReading {
		return &pb.IngestedReading{GaugeId: "far", Shown: "1.000", Unit: pb.Unit_UNIT_MILLIMETRE, Raw: raw}
	})
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	var open sync.WaitGroup
	const ofConnection = 50
	for range n / ofConnection {
		conn, err := dial(c.Dir)
		if err != nil {
			c.Errorf("%v", err)
			return
		}
		defer conn.Close()
		for range ofConnection {
			open.Go(func() { c.watch(ctx, conn) })
		}
	}
	for range n {
		conn, err := net.Dial("tcp", c.HTTP)
		if err != nil {
			c.Errorf("%v", err)
			return
		}
		defer conn.Close()
		_, _ = fmt.Fprintf(conn, "GET /v1/events/readings?after_seq=0 HTTP/1.1\r\nHost: %s\r\n\r\n", c.HTTP)
		answer := make([]byte, len("HTTP/1.1 200"))
		if _, err := io.ReadFull(conn, answer); err == nil && string(answer) != "HTTP/1.1 200" && string(answer) != "HTTP/1.1 503" {
			c.Errorf("events from the first on are answered with %s", answer)
		}
	}
	open.Wait()
}

// watch asks for all readings and reads the first alone; a call that is refused is none.
func (c *caller) watch(ctx context.Context, conn *grpc.ClientConn) {
	first := uint64(0)
	stream, err := pb.NewGaugeServiceClient(conn).WatchReadings(ctx, &pb.WatchReadingsRequest{AfterSeq: &first})
	if err == nil {
		_, err = stream.Recv()
	}
	if err == nil {
		<-ctx.Done()
	}
}
