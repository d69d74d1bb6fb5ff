package main

import (
	"context"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"

	pb "gauged/api/gauged/v1"
	"gauged/internal/simulate"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// trial is a directory with a station's files, and the daemon on them.
type trial struct {
	t    testing.TB
	dir  string
	stop func() // ends the daemon as SIGTERM does and waits
	log  *lockedBuffer
	conn *grpc.ClientConn
}

// lockedBuffer is a log that is read while it is written.
type lockedBuffer struct {
	mu sync.Mutex
	b  strings.Builder
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

// newTrial writes the station file, with procedures and parts of the
// demonstration. The socket is DIR/s.
func newTrial(t testing.TB, station string) *trial {
	t.Helper()
	tr := &trial{t: t, dir: t.TempDir(), log: &lockedBuffer{}}
	demo, err := filepath.Abs("../../deploy/demo")
	if err != nil {
		t.Fatal(err)
	}
	station = strings.NewReplacer("PROCEDURES", "procedures: "+demo+"/procedures\nparts: "+demo+"/parts").Replace(station)
	tr.write("station.yaml", "station: trial\naccess: open\nhistory: history.db\n"+station)
	return tr
}

func (tr *trial) path(name string) string { return filepath.Join(tr.dir, name) }

func (tr *trial) write(name, content string) {
	tr.t.Helper()
	if err := os.WriteFile(tr.path(name), []byte(content), 0o644); err != nil {
		tr.t.Fatal(err)
	}
}

const socket = "listen: {grpc: unix://s}\n"

// start runs the daemon in this process and waits until it serves.
func (tr *trial) start() {
	tr.t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan int, 1)
	go func() {
		done <- run(ctx, []string{"--config", tr.path("station.yaml")}, tr.log, tr.log, noEnv)
	}()
	tr.stop = sync.OnceFunc(func() {
		if tr.conn != nil {
			_ = tr.conn.Close()
		}
		cancel()
		if code := <-done; code != exitFine {
			tr.t.Errorf("the daemon ended with %d:\n%s", code, tr.log)
		}
	})
	tr.t.Cleanup(tr.stop)
	tr.connect()
}

func noEnv(string) string { return "" }

// connect waits until the daemon answers on its socket.
func (tr *trial) connect() {
	tr.t.Helper()
	tr.await("the daemon serves", func() bool {
		c, err := net.Dial("unix", tr.path("s"))
		if err != nil {
			return false
		}
		_ = c.Close()
		return true
	})
	conn, err := grpc.NewClient("unix://"+tr.path("s"), grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		tr.t.Fatal(err)
	}
	tr.t.Cleanup(func() { _ = conn.Close() })
	tr.conn = conn
}

// awaited is how long something may take that is waited for, many times what a busy machine
// needs: only what never comes fails.
const awaited = 90 * time.Second

// await polls until the condition holds.
func (tr *trial) await(what string, condition func() bool) {
	tr.t.Helper()
	for end := time.Now().Add(awaited); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if condition() {
			return
		}
	}
	tr.t.Fatalf("waited in vain until %s; the log:\n%s", what, tr.log)
}

func (tr *trial) gauges() pb.GaugeServiceClient    { return pb.NewGaugeServiceClient(tr.conn) }
func (tr *trial) jobs() pb.JobServiceClient        { return pb.NewJobServiceClient(tr.conn) }
func (tr *trial) history() pb.HistoryServiceClient { return pb.NewHistoryServiceClient(tr.conn) }

// live waits until a gauge is live.
func (tr *trial) live(id string) {
	tr.t.Helper()
	tr.await(id+" is live", func() bool {
		answer, err := tr.gauges().ListGauges(tr.t.Context(), &pb.ListGaugesRequest{})
		if err != nil {
			return false
		}
		for _, g := range answer.GetGauges() {
			if g.GetId() == id && g.GetState() == pb.GaugeState_GAUGE_STATE_LIVE {
				return true
			}
		}
		return false
	})
}

// readings returns all stored readings as "gauge number text unit".
func (tr *trial) readings() []string {
	tr.t.Helper()
	var all []string
	for token := ""; ; {
		page, err := tr.history().ListReadings(tr.t.Context(), &pb.ListReadingsRequest{PageToken: token})
		if err != nil {
			tr.t.Fatal(err)
		}
		for _, r := range page.GetReadings() {
			unit := strings.ToLower(strings.TrimPrefix(r.GetValue().GetUnit().String(), "UNIT_"))
			all = append(all, fmt.Sprintf("%s %d %s %s", r.GetGaugeId(), r.GetNumber(), r.GetValue().GetText(), unit))
		}
		if token = page.GetNextPageToken(); token == "" {
			return all
		}
	}
}

func (tr *trial) job(id uint64) *pb.Job {
	tr.t.Helper()
	answer, err := tr.jobs().GetJob(tr.t.Context(), &pb.GetJobRequest{JobId: id})
	if err != nil {
		tr.t.Fatal(err)
	}
	return answer.GetJob()
}

// plug makes a line that is plugged in until the test ends.
func (tr *trial) plug(name string) *simulate.Line {
	tr.t.Helper()
	line := simulate.NewLine(tr.path(name))
	if err := line.Plug(); err != nil {
		tr.t.Fatal(err)
	}
	tr.t.Cleanup(func() { _ = line.Unplug() })
	return line
}
