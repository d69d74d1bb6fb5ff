package dashboardtest

import (
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"

	pb "gauged/api/gauged/v1"
	"gauged/internal/devices"
	"gauged/internal/shopfile"
	"gauged/internal/simulate"
)

// within is how long anything may take that is waited for. It is many times
// what a busy machine needs, so that only what never happens fails.
const within = 20 * time.Second

// await polls until the condition holds.
func await(t *testing.T, what string, holds func() bool) {
	t.Helper()
	for deadline := time.Now().Add(within); !holds(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("waited in vain until %s", what)
		}
	}
}

// freeAddress is a loopback address that nobody listens at.
func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// process starts a program whose output goes to DIR/NAME.log, and returns what
// ends it and waits for it. The log is shown when the test fails.
func process(t *testing.T, dir, name, program string, args ...string) (stop func()) {
	t.Helper()
	log, err := os.OpenFile(filepath.Join(dir, name+".log"), os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o644)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(program, args...)
	cmd.Stdout, cmd.Stderr = log, log
	if err := cmd.Start(); err != nil {
		t.Fatalf("%v (tools/setup.sh installs or names what the tests need)", err)
	}
	ended := false
	stop = func() {
		if ended {
			return
		}
		ended = true
		_ = cmd.Process.Signal(syscall.SIGTERM)
		if err := cmd.Wait(); err != nil {
			t.Errorf("%s ended with %v", name, err)
		}
		_ = log.Close()
	}
	t.Cleanup(func() {
		stop()
		if content, err := os.ReadFile(log.Name()); t.Failed() && err == nil {
			t.Logf("the log of %s ends with\n%s", name, content[max(0, len(content)-4000):])
		}
	})
	return stop
}

// buildDaemon builds gauged into the directory.
func buildDaemon(t *testing.T, dir string) string {
	t.Helper()
	program := filepath.Join(dir, "gauged")
	if out, err := exec.Command("go", "build", "-o", program, "../../cmd/gauged").CombinedOutput(); err != nil {
		t.Fatalf("build: %v\n%s", err, out)
	}
	return program
}

// station is a real daemon on simulated gauges.
type station struct {
	t                  *testing.T
	dir, name, program string
	metrics            string // the address that it has them at
	stop               func() // ends the daemon as SIGTERM does and waits
	conn               *grpc.ClientConn
}

// newStation writes the station's file and starts the daemon.
func newStation(t *testing.T, dir, name, program string) *station {
	t.Helper()
	s := &station{t: t, dir: dir, name: name, program: program, metrics: freeAddress(t)}
	content, err := os.ReadFile(filepath.Join("testdata", name+".yaml"))
	if err != nil {
		t.Fatal(err)
	}
	_, port, err := net.SplitHostPort(s.metrics)
	if err != nil {
		t.Fatal(err)
	}
	demo, err := filepath.Abs("../../deploy/demo-drift")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.NewReplacer("DIR", dir, "METRICS", port, "PROCEDURES", demo+"/procedure.yaml", "PARTS", demo+"/parts.yaml").Replace(string(content))
	if err := os.WriteFile(filepath.Join(dir, name+".yaml"), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	if s.conn, err = grpc.NewClient("unix://"+filepath.Join(dir, name), grpc.WithTransportCredentials(insecure.NewCredentials())); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.conn.Close() })
	s.start()
	return s
}

// start starts the daemon and waits until its calls and its metrics are there.
func (s *station) start() {
	s.t.Helper()
	s.stop = process(s.t, s.dir, s.name, s.program, "--config", filepath.Join(s.dir, s.name+".yaml"))
	for network, address := range map[string]string{"unix": filepath.Join(s.dir, s.name), "tcp": s.metrics} {
		await(s.t, s.name+" listens at "+address, func() bool {
			c, err := net.Dial(network, address)
			if err != nil {
				return false
			}
			_ = c.Close()
			return true
		})
	}
	s.conn.ResetConnectBackoff() // it may have been down
}

// gauge is what the daemon says of a gauge.
func (s *station) gauge(id string) *pb.Gauge {
	s.t.Helper()
	answer, err := pb.NewGaugeServiceClient(s.conn).ListGauges(s.t.Context(), &pb.ListGaugesRequest{}, grpc.WaitForReady(true))
	if err != nil {
		s.t.Fatal(err)
	}
	for _, g := range answer.GetGauges() {
		if g.GetId() == id {
			return g
		}
	}
	s.t.Fatalf("station %s has no gauge %s", s.name, id)
	return nil
}

// plugIn plugs the simulated gauges in below DIR/gauges until the test ends.
func plugIn(t *testing.T, dir string) *simulate.Bench {
	t.Helper()
	layouts, err := devices.ShippedLayouts()
	if err != nil {
		t.Fatal(err)
	}
	content, err := os.ReadFile("testdata/scenario.yaml")
	if err != nil {
		t.Fatal(err)
	}
	document := shopfile.Parse("scenario.yaml", content)
	gauges := simulate.ReadScenario(document.Root(), layouts.Find)
	if err := document.Err(); err != nil {
		t.Fatal(err)
	}
	plugs := filepath.Join(dir, "gauges")
	if err := os.MkdirAll(plugs, 0o755); err != nil {
		t.Fatal(err)
	}
	bench, err := simulate.Start(plugs, gauges)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := bench.Close(); err != nil {
			t.Error(err)
		}
	})
	return bench
}
