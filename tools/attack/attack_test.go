package attack

import (
	"context"
	"flag"
	"net"
	"net/http"
	"os"
	"strings"
	"syscall"
	"testing"
	"time"

	pb "gauged/api/gauged/v1"
)

var long = flag.Bool("long", false, "attack at full length, and hold memory and latency to what is promised")

// What is promised under each attack. A machine that does other things at the same time
// says nothing about the latency, so only the long form holds it.
const (
	mostMemory      = 200 // MB
	mostMemoryShort = 400
	mostSlower      = 2
	enough          = 300                   // readings, for a p99
	leastP99        = 20 * time.Millisecond // below it nobody notices a factor
)

// attacks are what a caller may do, each with so much of it in the short and the long form.
var attacks = []struct {
	name        string
	short, long int
	do          func(*station, int)
	again       bool // it can be done again, until enough readings came meanwhile
}{
	{"idle connections", 1400, 1400, idle, false},
	{"forms of 41 MB", 10, 30, from("forms"), true},
	{"messages of 41 MB", 10, 30, from("messages"), true},
	{"half sent messages", 10, 190, from("half"), true},
	{"messages of crumbs", 4, 30, from("crumbs"), true},
	{"readings with long frames", 300, 3000, from("frames"), true},
	{"readings for unknown gauges", 20_000, 300_000, from("unknown"), true},
	{"streams from far back", 50, 200, from("far back"), true},
	{"unknown senders", 1200, 1200, from("senders"), true},
	{"a pipe and a device among the files", 1, 5, files, true},
}

// TestAttacks: whatever a caller does, the daemon lives, its memory stays bounded, and the
// readings of a quiet gauge are stored.
func TestAttacks(t *testing.T) {
	s := start(t)
	s.heard(50)
	s.p99()
	// Before: beside a program that takes as much of the machine as it gets, and leaves the daemon alone.
	from("busy")(s, map[bool]int{false: 10, true: 100}[*long])
	before, _ := s.p99()
	t.Logf("%-38s %9s %9s %8s %9s", "attack", "before", "during", "memory", "readings")
	for _, a := range attacks {
		n, memory := a.short, mostMemoryShort
		if *long {
			n, memory = a.long, mostMemory
		}
		s.forget()
		s.p99()
		for s.round = 0; s.round == 0 || *long && a.again && s.count() < enough; s.round++ {
			a.do(s, n)
		}
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
	doors := [][2]string{{"unix", s.path("s")}, {"tcp", s.grpc}, {"tcp", s.page}, {"tcp", s.metrics}, {"tcp", s.http}}
	for i := range n {
		c, err := net.DialTimeout(doors[i%len(doors)][0], doors[i%len(doors)][1], 10*time.Second)
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
	if *long {
		s.heard(max(0, enough-s.count())) // while they are held, since opening them again is another attack
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
