// Package attack misbehaves towards a real daemon as a caller may, while a quiet gauge
// goes on sending: memory, answers and the gauge's readings are looked at.
package attack

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"google.golang.org/grpc"

	pb "gauged/api/gauged/v1"
	"gauged/internal/simulate"
)

// station is a real daemon with a gauge that sends a reading every few milliseconds.
type station struct {
	t             *testing.T
	dir           string
	page, metrics string
	http          string // of the calls with JSON
	grpc          string // TCP
	daemon        *exec.Cmd
	log           *lockedBuffer
	conn          *grpc.ClientConn
	quiet, late   *simulate.Line
	round         int // of the attack that runs

	mu       sync.Mutex
	sent     map[string]time.Time // by what was shown
	taken    []time.Duration      // from line to watcher, of the attack that runs
	received int
}

type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

const every = 20 * time.Millisecond // a reading of the quiet gauge

func start(t *testing.T) *station {
	t.Helper()
	s := &station{t: t, dir: t.TempDir(), log: &lockedBuffer{}, sent: map[string]time.Time{}, page: free(t), metrics: free(t), grpc: free(t), http: free(t)}
	build := exec.Command("go", "build", "-o", s.dir, "../../cmd/gauged")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if err := os.Mkdir(s.path("layouts"), 0o755); err != nil {
		t.Fatal(err)
	}
	s.write("layouts/ours.yaml", "layout: ours\ntitle: A value\nmode: stream\nframe: {ends: [\"\\r\\n\"], longest: 16}\nmatch: '(?P<value>-?\\d{1,3}\\.\\d{6})'\nunit: mm\n"+
		"good: [{bytes: \"1.500000\\r\\n\", shown: \"1.500000\", unit: mm, value: \"1.5\"}, {bytes: \"-1.500000\\r\\n\", shown: \"-1.500000\", unit: mm, value: \"-1.5\"}]\nbad: [{bytes: \"1.5\\r\\n\", reason: layout}]\n")
	s.write("station.yaml", "station: attacked\nhistory: history.db\nlayouts: layouts\nlisten: {grpc: [unix://s, "+s.grpc+"], page: "+s.page+", http: "+s.http+", metrics: "+s.metrics+"}\naccess: open\n"+
		"gauges:\n  quiet: {layout: ours, port: quiet}\n  late: {layout: ours, port: late}\n  far: {outside: yes, mode: button}\n")
	s.quiet, s.late = simulate.NewLine(s.path("quiet")), simulate.NewLine(s.path("late"))
	if err := s.quiet.Plug(); err != nil {
		t.Fatal(err)
	}
	s.daemon = exec.Command(s.path("gauged"), "--config", s.path("station.yaml"))
	s.daemon.Stderr = s.log
	if err := s.daemon.Start(); err != nil {
		t.Fatal(err)
	}
	s.await("the daemon is ready", func() bool { return strings.Contains(s.log.String(), "msg=ready") })
	conn, err := dial(s.dir)
	if err != nil {
		t.Fatal(err)
	}
	s.conn = conn
	s.measure()
	return s
}

// measure sends readings of the quiet gauge, and watches when they come out.
func (s *station) measure() {
	ctx, cancel := context.WithCancel(context.Background())
	stream, err := pb.NewGaugeServiceClient(s.conn).WatchReadings(ctx, &pb.WatchReadingsRequest{GaugeIds: []string{"quiet"}})
	if err != nil {
		s.t.Fatal(err)
	}
	var running sync.WaitGroup
	running.Go(func() {
		for n := 0; ctx.Err() == nil; n++ {
			text := fmt.Sprintf("1.%06d", n)
			s.mu.Lock()
			s.sent[text] = time.Now()
			s.mu.Unlock()
			_, _ = io.WriteString(s.quiet, text+"\r\n")
			time.Sleep(every)
		}
	})
	running.Go(func() {
		for {
			m, err := stream.Recv()
			if err != nil {
				return
			}
			text := m.GetReading().GetValue().GetText()
			s.mu.Lock()
			if at, ok := s.sent[text]; ok {
				s.taken = append(s.taken, time.Since(at))
				s.received++
				delete(s.sent, text)
			}
			s.mu.Unlock()
		}
	})
	s.t.Cleanup(func() {
		cancel()
		running.Wait()
		_ = s.conn.Close()
		_ = s.daemon.Process.Signal(syscall.SIGTERM)
		if err := s.daemon.Wait(); err != nil {
			s.t.Errorf("the daemon ended with %v:\n%s", err, s.log)
		}
		_ = s.quiet.Unplug()
		_ = s.late.Unplug()
	})
}

// p99 is how long the readings since the last call took, and how many came.
func (s *station) p99() (time.Duration, int) {
	s.mu.Lock()
	taken := s.taken
	s.taken = nil
	s.mu.Unlock()
	if len(taken) == 0 {
		return 0, 0
	}
	slices.Sort(taken)
	return taken[len(taken)*99/100], len(taken)
}

// count is how many readings came out since p99 was last asked for.
func (s *station) count() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.taken)
}

// heard waits until so many more readings of the quiet gauge have come out.
func (s *station) heard(more int) {
	s.t.Helper()
	s.mu.Lock()
	want := s.received + more
	s.mu.Unlock()
	s.await("the quiet gauge is heard", func() bool {
		s.mu.Lock()
		defer s.mu.Unlock()
		return s.received >= want
	})
}

// peak is the most memory that the daemon has had since it was last forgotten, in MB.
func (s *station) peak() int {
	s.t.Helper()
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", s.daemon.Process.Pid))
	if err != nil {
		s.t.Fatalf("the daemon is gone: %v\n%s", err, s.log)
	}
	for line := range strings.Lines(string(status)) {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			kb, _ := strconv.Atoi(strings.Fields(rest)[0])
			return kb >> 10
		}
	}
	s.t.Fatal("the system does not say how much memory the daemon had")
	return 0
}

// forget lets the peak begin anew; where the system refuses, it is that of the whole run.
func (s *station) forget() {
	_ = os.WriteFile(fmt.Sprintf("/proc/%d/clear_refs", s.daemon.Process.Pid), []byte("5"), 0)
}

func (s *station) await(what string, condition func() bool) {
	s.t.Helper()
	for end := time.Now().Add(4 * time.Minute); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if condition() {
			return
		}
	}
	s.t.Fatalf("waited in vain until %s; the log:\n%s", what, s.log)
}

func (s *station) path(name string) string { return filepath.Join(s.dir, name) }

func (s *station) write(name, content string) {
	s.t.Helper()
	if err := os.WriteFile(s.path(name), []byte(content), 0o644); err != nil {
		s.t.Fatal(err)
	}
}

func free(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}
