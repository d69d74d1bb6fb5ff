package client_test

import (
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "gauged/api/gauged/v1"
	"gauged/client"
)

// acks watches what is sent and acknowledged: nothing that was acknowledged may be sent again.
type acks struct {
	mu      sync.Mutex
	through uint64
	opened  int
	again   []uint64
}

func (a *acks) option() grpc.DialOption {
	return grpc.WithChainStreamInterceptor(func(ctx context.Context, d *grpc.StreamDesc, conn *grpc.ClientConn, method string, streamer grpc.Streamer, options ...grpc.CallOption) (grpc.ClientStream, error) {
		stream, err := streamer(ctx, d, conn, method, options...)
		a.mu.Lock()
		defer a.mu.Unlock()
		a.opened++
		return &acked{stream, a}, err
	})
}

type acked struct {
	grpc.ClientStream
	a *acks
}

func (s *acked) SendMsg(m any) error {
	s.a.mu.Lock()
	for _, r := range m.(*pb.IngestReadingsRequest).GetReadings() {
		if r.GetSourceSeq() <= s.a.through {
			s.a.again = append(s.a.again, r.GetSourceSeq())
		}
	}
	s.a.mu.Unlock()
	return s.ClientStream.SendMsg(m)
}

func (s *acked) RecvMsg(m any) error {
	err := s.ClientStream.RecvMsg(m)
	if err == nil {
		s.a.mu.Lock()
		s.a.through = m.(*pb.IngestReadingsResponse).GetDurableThroughSeq()
		s.a.mu.Unlock()
	}
	return err
}

// troubles are what comes between a program and its station, and how that ends.
func troubles(t *testing.T, each func(t *testing.T, b *bench, address string, trouble func())) {
	t.Run("daemon killed", func(t *testing.T) {
		b := station(t)
		each(t, b, "unix://"+b.socket, func() { b.kill(); b.start() })
	})
	t.Run("network cut", func(t *testing.T) {
		b := station(t)
		line := newCuttable(t, b.socket)
		each(t, b, line.l.Addr().String(), func() { line.cut(); line.mend() })
	})
}

// TestFeed: readings that are fed while the daemon is killed, or the network cut, again and
// again are stored once each, in order. What was acknowledged is never sent again.
func TestFeed(t *testing.T) {
	troubles(t, func(t *testing.T, b *bench, address string, trouble func()) {
		const most, rounds = 16_000, 4
		a := &acks{}
		o := quick
		o.Dial = []grpc.DialOption{a.option()}
		c, err := client.Dial(address, o)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		var lost, back int
		f, err := c.Feed(t.Context(), client.Sender{Source: "press-1", Outage: client.Outage{Lost: func(error) { lost++ }, Back: func() { back++ }}})
		if err != nil {
			t.Fatal(err)
		}
		for n := 1; n <= most; n++ {
			if err := f.Send(t.Context(), reading(n)); err != nil {
				t.Fatalf("reading %d: %v", n, err)
			}
			if n%(most/rounds) == most/rounds/2 {
				trouble()
			}
		}
		if err := f.Flush(t.Context()); err != nil {
			t.Fatal(err)
		}
		if through := f.Through(); through != most {
			t.Errorf("durable through %d, want %d", through, most)
		}
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
		if a.opened < rounds || len(a.again) > 0 || lost == 0 || lost != back {
			t.Errorf("%d streams, %d outages and %d returns were told; sent again though acknowledged: %v", a.opened, lost, back, a.again)
		}
		wantAll(t, dial(t, "unix://"+b.socket), most)
	})
}

const untilKilled = 200_000

// feedUntilKilled is a caller that knows nothing of a run before.
func feedUntilKilled(address string) {
	c, err := client.Dial(address, quick)
	check(err)
	f, err := c.Feed(context.Background(), client.Sender{Source: "press-1"})
	check(err)
	for n := int(f.Through()) + 1; n <= untilKilled; n++ {
		check(f.Send(context.Background(), reading(n)))
	}
	check(f.Flush(context.Background()))
}

// TestCallerIsKilled: a caller that is killed in mid-stream goes on where nothing is stored yet.
func TestCallerIsKilled(t *testing.T) {
	b := station(t)
	c := dial(t, "unix://"+b.socket)
	gauges := pb.NewGaugeServiceClient(c.Conn())
	count := func() uint64 {
		answer, err := gauges.GetGauge(t.Context(), &pb.GetGaugeRequest{GaugeId: "press"})
		if err != nil {
			t.Fatal(err)
		}
		return answer.GetGauge().GetReadingCount()
	}
	var before uint64
	for range 3 {
		caller := exec.Command("/proc/self/exe")
		caller.Env = append(os.Environ(), "FEED_UNTIL_KILLED=unix://"+b.socket)
		caller.Stderr = os.Stderr
		if err := caller.Start(); err != nil {
			t.Fatal(err)
		}
		for count() < before+1500 { // it feeds until then, or the test ends by its time
			if t.Context().Err() != nil {
				t.Fatal("nothing is fed")
			}
		}
		if err := caller.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		if err := caller.Wait(); err == nil {
			t.Fatal("the caller ended before it was killed")
		}
		before = count()
	}
	f, err := c.Feed(t.Context(), client.Sender{Source: "press-1"})
	if err != nil {
		t.Fatal(err)
	}
	last := int(f.Through()) + 6000 // more than was on the way
	for n := 1; n <= last; n++ {    // from the beginning: what is there is passed over
		if err := f.Send(t.Context(), reading(n)); err != nil {
			t.Fatal(err)
		}
	}
	if err := f.Flush(t.Context()); err != nil {
		t.Fatal(err)
	}
	wantAll(t, c, last)
}

// TestRefusedReadings: what the daemon does not accept is named, and the rest is stored. What
// no feed can send is an error at once.
func TestRefusedReadings(t *testing.T) {
	c := dial(t, "unix://"+station(t).socket)
	refused := map[uint64]string{}
	f, err := c.Feed(t.Context(), client.Sender{Source: "press-1", Refused: func(r *pb.RefusedReading) { refused[r.GetSourceSeq()] = r.GetReason().GetCode() }})
	if err != nil {
		t.Fatal(err)
	}
	bare, strange := reading(2), reading(3)
	bare.Unit, strange.GaugeId = pb.Unit_UNIT_UNSPECIFIED, "nobody"
	if err := f.Send(t.Context(), reading(1), bare, strange, reading(4)); err != nil {
		t.Fatal(err)
	}
	if err := f.Flush(t.Context()); err != nil {
		t.Fatal(err)
	}
	if len(refused) != 2 || refused[2] == "" || refused[3] == "" || refused[2] == refused[3] {
		t.Errorf("refused were %v, want 2 and 3 for their reasons", refused)
	}
	for _, n := range []int{4, 3, 0} {
		if err := f.Send(t.Context(), reading(n)); err == nil || !strings.Contains(err.Error(), "the numbers of a sender begin with 1 and rise") {
			t.Errorf("reading %d after 4: %v", n, err)
		}
	}
	if got := values(t, c, 2); got[0] != reading(1).GetShown() || got[1] != reading(4).GetShown() {
		t.Errorf("stored are %v", got)
	}
}

// TestFeedEnds: when another program takes the name over, when a copy of the history was
// restored, and when it is closed, who feeds is told.
func TestFeedEnds(t *testing.T) {
	b := station(t)
	c := dial(t, "unix://"+b.socket)
	open := func() *client.Feed {
		t.Helper()
		f, err := c.Feed(t.Context(), client.Sender{Source: "press-1"})
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	older := open()
	if err := older.Send(t.Context(), reading(1)); err != nil {
		t.Fatal(err)
	}
	if err := older.Flush(t.Context()); err != nil {
		t.Fatal(err)
	}
	newer := open()
	for n, err := 2, error(nil); ; n++ {
		if err = older.Send(t.Context(), reading(n)); err == nil {
			err = older.Flush(t.Context())
		}
		if r, _ := client.RefusalOf(err); r.Reason == "SENDER_TAKEN_OVER" && status.Code(err) == codes.Aborted {
			break
		} else if err != nil {
			t.Fatalf("taken over: %v", err)
		}
	}
	if err := newer.Close(); err != nil {
		t.Fatal(err)
	}
	if err := newer.Send(t.Context(), reading(100)); err == nil || err.Error() != "the feed is closed" {
		t.Errorf("after Close: %v", err)
	}

	b.kill()
	copied := copyOf(t, b)
	b.start()
	last := open()
	if err := last.Send(t.Context(), reading(1000)); err != nil {
		t.Fatal(err)
	}
	if err := last.Flush(t.Context()); err != nil {
		t.Fatal(err)
	}
	b.kill()
	copied()
	b.start()
	if err := last.Send(t.Context(), reading(1001)); err == nil {
		if err = last.Flush(t.Context()); err == nil || !strings.Contains(err.Error(), "an older copy of its history was restored") {
			t.Errorf("with an older history: %v", err)
		}
	}
}

// copyOf copies the history of a station that does not run; what it returns puts the copy back.
func copyOf(t *testing.T, b *bench) (restore func()) {
	t.Helper()
	saved := t.TempDir()
	each := func(from, to string) {
		names, err := filepath.Glob(filepath.Join(from, "history.db*"))
		if err != nil || len(names) == 0 {
			t.Fatal(names, err)
		}
		for _, name := range names {
			in, err := os.Open(name)
			if err != nil {
				t.Fatal(err)
			}
			out, err := os.Create(filepath.Join(to, filepath.Base(name)))
			if err != nil {
				t.Fatal(err)
			}
			_, err = io.Copy(out, in)
			if err := errors.Join(err, in.Close(), out.Close()); err != nil {
				t.Fatal(err)
			}
		}
	}
	each(b.dir, saved)
	return func() {
		names, _ := filepath.Glob(filepath.Join(b.dir, "history.db*"))
		for _, name := range names {
			if err := os.Remove(name); err != nil {
				t.Fatal(err)
			}
		}
		each(saved, b.dir)
	}
}
