package attack

import (
	"context"
	"flag"
	"fmt"
	"net"
	"net/http"
	"os"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "gauged/api/gauged/v1"
)

var long = flag.Bool("long", false, "attack at full length, and hold memory and latency to what is promised")

// What is promised under each attack. A machine that does other things at the same time
// says nothing about the latency, so only the long form holds it.
const (
	mostMemory      = 200 // MB
	mostMemoryShort = 400
	mostSlower      = 2
	leastP99        = 20 * time.Millisecond // below it nobody notices a factor
)

// attacks are what a caller may do, each with so much of it in the short and the long form.
var attacks = []struct {
	name        string
	short, long int
	do          func(*station, int)
}{
	{"idle connections", 1100, 1100, idle},
	{"forms of 41 MB", 10, 30, forms},
	{"messages of 41 MB", 10, 30, messages},
	{"readings with long frames", 300, 3000, frames},
	{"readings for unknown gauges", 20_000, 300_000, unknown},
	{"unknown senders", 1200, 1200, senders},
	{"a pipe and a device among the files", 1, 5, files},
}

// TestAttacks: whatever a caller does, the daemon lives, its memory stays bounded, and the
// readings of a quiet gauge are stored.
func TestAttacks(t *testing.T) {
	s := start(t)
	s.heard(50)
	s.p99()
	s.heard(map[bool]int{false: 50, true: 500}[*long])
	before, _ := s.p99()
	t.Logf("%-38s %9s %9s %8s %9s", "attack", "before", "during", "memory", "readings")
	for _, a := range attacks {
		n, memory := a.short, mostMemoryShort
		if *long {
			n, memory = a.long, mostMemory
		}
		s.forget()
		s.p99()
		a.do(s, n)
		s.heard(20)
		during, heard := s.p99()
		peak := s.peak()
		t.Logf("%-38s %9s %9s %5d MB %9d", a.name, before.Round(100*time.Microsecond), during.Round(100*time.Microsecond), peak, heard)
		if peak > memory {
			t.Errorf("%s: %d MB, at most %d are promised", a.name, peak, memory)
		}
		if *long && during > mostSlower*max(before, leastP99) {
			t.Errorf("%s: a reading took %s where it took %s", a.name, during, before)
		}
	}
	if n := strings.Count(s.log.String(), "level=ERROR"); n > strings.Count(s.log.String(), "SIGHUP: nothing was put in force") {
		t.Errorf("the log has faults:\n%s", s.log)
	}
}

// idle opens connections at every door and says nothing. A gauge that is plugged in then
// is live, and who comes next is let in.
func idle(s *station, n int) {
	var open []net.Conn
	defer func() {
		for _, c := range open {
			_ = c.Close()
		}
	}()
	doors := [][2]string{{"unix", s.path("s")}, {"tcp", s.grpc}, {"tcp", s.page}, {"tcp", s.metrics}}
	for i := range n {
		c, err := net.DialTimeout(doors[i%4][0], doors[i%4][1], 10*time.Second)
		if err != nil {
			s.t.Errorf("connection %d: %v", i, err)
			return
		}
		open = append(open, c)
	}
	if err := s.late.Plug(); err != nil {
		s.t.Fatal(err)
	}
	s.await("a gauge that is plugged in is live", func() bool {
		_, _ = s.late.Write([]byte("2.000000\r\n"))
		answer, err := pb.NewGaugeServiceClient(s.conn).GetGauge(context.Background(), &pb.GetGaugeRequest{GaugeId: "late"})
		return err == nil && answer.GetGauge().GetState() == pb.GaugeState_GAUGE_STATE_LIVE
	})
	for _, url := range []string{"http://" + s.page + "/", "http://" + s.metrics + "/metrics"} {
		answer, err := http.Get(url)
		if err != nil {
			s.t.Errorf("nobody comes in any more: %v", err)
			continue
		}
		_ = answer.Body.Close()
	}
}

const large = 41 << 20

func forms(s *station, n int) {
	var sending sync.WaitGroup
	for range n {
		sending.Go(func() {
			answer, err := http.Post("http://"+s.page+"/settings", "application/x-www-form-urlencoded", strings.NewReader("a="+strings.Repeat("x", large)))
			if err != nil {
				return // the daemon closed the connection before it had read all
			}
			defer answer.Body.Close()
			if answer.StatusCode != http.StatusRequestEntityTooLarge {
				s.t.Errorf("a form of 41 MB is answered with %s", answer.Status)
			}
		})
	}
	sending.Wait()
}

func messages(s *station, n int) {
	var sending sync.WaitGroup
	for range n {
		sending.Go(func() {
			_, err := pb.NewJobServiceClient(s.conn).StartJob(context.Background(), &pb.StartJobRequest{ProcedureId: strings.Repeat("x", large)})
			if status.Code(err) != codes.ResourceExhausted {
				s.t.Errorf("a message of 41 MB is answered with %v", err)
			}
		})
	}
	sending.Wait()
}

// send streams readings and returns the last answer.
func send(s *station, source string, n, atOnce int, reading func(int) *pb.IngestedReading) {
	stream, err := pb.NewGaugeServiceClient(s.conn).IngestReadings(context.Background())
	if err != nil {
		s.t.Fatal(err)
	}
	if err := stream.Send(&pb.IngestReadingsRequest{Source: source}); err != nil {
		s.t.Fatal(err)
	}
	through := make(chan error, 1)
	go func() {
		for {
			answer, err := stream.Recv()
			if err == nil && answer.GetDurableThroughSeq() < uint64(n) {
				continue
			}
			through <- err
			return
		}
	}()
	for first := 0; first < n; first += atOnce {
		m := &pb.IngestReadingsRequest{}
		for i := first; i < min(first+atOnce, n); i++ {
			r := reading(i)
			r.SourceSeq = uint64(i + 1)
			m.Readings = append(m.Readings, r)
		}
		if err := stream.Send(m); err != nil {
			break // Recv says why
		}
	}
	if err := <-through; err != nil {
		s.t.Errorf("%s: %v", source, err)
	}
	_ = stream.CloseSend()
}

func frames(s *station, n int) {
	raw := make([]byte, 12_000) // three times what is kept
	send(s, "long frames", n, 300, func(int) *pb.IngestedReading {
		return &pb.IngestedReading{GaugeId: "far", Shown: "1.000", Unit: pb.Unit_UNIT_MILLIMETRE, Raw: raw}
	})
	for token := ""; ; {
		page, err := pb.NewHistoryServiceClient(s.conn).ListRejects(context.Background(), &pb.ListRejectsRequest{GaugeId: "far", PageToken: token})
		if err != nil {
			s.t.Errorf("the history cannot be read: %v", err)
			return
		}
		if token = page.GetNextPageToken(); token == "" {
			return
		}
	}
}

func unknown(s *station, n int) {
	before := s.size()
	send(s, "unknown gauges", n, 10_000, func(int) *pb.IngestedReading {
		return &pb.IngestedReading{GaugeId: "nobody", Shown: "1.000", Unit: pb.Unit_UNIT_MILLIMETRE}
	})
	if grown := s.size() - before; grown > 2<<20 {
		s.t.Errorf("%d readings that nobody knows took %d kB of the disk", n, grown>>10)
	}
}

// size is what the history takes on the disk.
func (s *station) size() (bytes int64) {
	for _, name := range []string{"history.db", "history.db-wal"} {
		if info, err := os.Stat(s.path(name)); err == nil {
			bytes += info.Size()
		}
	}
	return bytes
}

func senders(s *station, n int) {
	refused := 0
	for i := range n {
		stream, err := pb.NewGaugeServiceClient(s.conn).IngestReadings(context.Background())
		if err != nil {
			s.t.Fatal(err)
		}
		_ = stream.Send(&pb.IngestReadingsRequest{Source: fmt.Sprint("sender ", i)})
		switch _, err := stream.Recv(); {
		case status.Code(err) == codes.FailedPrecondition:
			refused++
		case err != nil:
			s.t.Errorf("sender %d: %v", i, err)
			return
		}
		_ = stream.CloseSend()
	}
	if refused == 0 {
		s.t.Errorf("%d senders were all taken", n)
	}
}

func files(s *station, n int) {
	pipe, device := s.path("layouts/pipe.yaml"), s.path("layouts/device.yaml")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		s.t.Fatal(err)
	}
	if err := os.Symlink("/dev/zero", device); err != nil {
		s.t.Fatal(err)
	}
	for range n {
		before := strings.Count(s.log.String(), "nothing was put in force")
		if err := s.daemon.Process.Signal(syscall.SIGHUP); err != nil {
			s.t.Fatal(err)
		}
		s.await("the daemon says that nothing was put in force", func() bool { return strings.Count(s.log.String(), "nothing was put in force") > before })
	}
	_ = os.Remove(pipe)
	_ = os.Remove(device)
}
