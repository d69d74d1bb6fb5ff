package client_test

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"

	pb "gauged/api/gauged/v1"
	"gauged/client"
)

var gauged string // the program

// TestMain builds the daemon, or is the caller that a test kills.
func TestMain(m *testing.M) {
	if address := os.Getenv("FEED_UNTIL_KILLED"); address != "" {
		feedUntilKilled(address)
	}
	os.Exit(func() int {
		dir, err := os.MkdirTemp("", "gauged-client")
		if err != nil {
			panic(err)
		}
		defer os.RemoveAll(dir)
		if out, err := exec.Command("go", "build", "-o", dir, "../cmd/gauged").CombinedOutput(); err != nil {
			panic(string(out))
		}
		gauged = filepath.Join(dir, "gauged")
		return m.Run()
	}())
}

// bench is a station with the real daemon, whose gauge "press" programs feed.
type bench struct {
	dir, socket string
	daemon      *exec.Cmd
}

// open is how most of the stations are reached.
const open = "access: open\nlisten: {grpc: unix://s}\n"

// newBench starts a daemon. An error is a panic, since examples have no testing.T.
func newBench(access string) *bench {
	dir, err := os.MkdirTemp("", "bench")
	check(err)
	demo, err := filepath.Abs("../deploy/demo")
	check(err)
	b := &bench{dir: dir, socket: filepath.Join(dir, "s")}
	station := fmt.Sprintf(`station: bench
history: history.db
procedures: %s/procedures
parts: %s/parts
gauges:
  press: {outside: yes, mode: button, unit: mm}
`, demo, demo)
	check(os.WriteFile(filepath.Join(dir, "gauged.yaml"), []byte(station+access), 0o644))
	b.start()
	return b
}

func check(err error) {
	if err != nil {
		panic(err)
	}
}

// start starts the daemon and waits until it answers.
func (b *bench) start() {
	log, err := os.OpenFile(filepath.Join(b.dir, "log"), os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o644)
	check(err)
	defer log.Close()
	b.daemon = exec.Command(gauged, "--config", filepath.Join(b.dir, "gauged.yaml"))
	b.daemon.Stdout, b.daemon.Stderr = log, log
	check(b.daemon.Start())
	for end := time.Now().Add(awaited); ; time.Sleep(5 * time.Millisecond) {
		if conn, err := net.Dial("unix", b.socket); err == nil {
			check(conn.Close())
			return
		}
		if time.Now().After(end) {
			text, _ := os.ReadFile(filepath.Join(b.dir, "log"))
			panic("the daemon does not answer:\n" + string(text))
		}
	}
}

// awaited is how long something may take that is waited for, many times what a busy machine needs.
const awaited = 90 * time.Second

// kill ends the daemon as a power cut does.
func (b *bench) kill() {
	check(b.daemon.Process.Kill())
	_ = b.daemon.Wait()
}

func (b *bench) close() {
	_ = b.daemon.Process.Kill() // it may have been killed
	_ = b.daemon.Wait()
	check(os.RemoveAll(b.dir))
}

func station(t *testing.T) *bench {
	t.Helper()
	b := newBench(open)
	t.Cleanup(b.close)
	return b
}

// quick are pauses for tests.
var quick = client.Options{First: time.Millisecond, Longest: 50 * time.Millisecond}

func dial(t *testing.T, address string) *client.Client {
	t.Helper()
	c, err := client.Dial(address, quick)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Close() })
	return c
}

// reading is the n-th of a sender.
func reading(n int) *pb.IngestedReading {
	return &pb.IngestedReading{SourceSeq: uint64(n), GaugeId: "press", Shown: fmt.Sprintf("%d.%03d", n/1000, n%1000), Unit: pb.Unit_UNIT_MILLIMETRE}
}

// values are what the station has stored, in order.
func values(t *testing.T, c *client.Client, want int) (all []string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), awaited)
	defer cancel()
	for event, err := range c.WatchReadings(ctx, &pb.WatchReadingsRequest{AfterSeq: proto.Uint64(0)}, client.Outage{Patient: true}) {
		if err != nil {
			t.Fatalf("after %d readings: %v", len(all), err)
		}
		if r := event.Message.GetReading(); r != nil {
			if all = append(all, r.GetValue().GetText()); len(all) == want {
				break
			}
		}
	}
	return all
}

// wantAll holds that the station has the readings 1 to n, each once, in order, and no more.
func wantAll(t *testing.T, c *client.Client, n int) {
	t.Helper()
	got := values(t, c, n)
	for i, text := range got {
		if want := reading(i + 1).GetShown(); text != want {
			t.Fatalf("reading %d is %s, want %s", i+1, text, want)
		}
	}
	answer, err := pb.NewGaugeServiceClient(c.Conn()).GetGauge(t.Context(), &pb.GetGaugeRequest{GaugeId: "press"})
	if err != nil {
		t.Fatal(err)
	}
	if last := answer.GetGauge().GetLastReading().GetValue().GetText(); last != reading(n).GetShown() {
		t.Errorf("the last reading is %s, want %s", last, reading(n).GetShown())
	}
}

// cuttable passes bytes between a program and a daemon until it is cut, as a network does.
type cuttable struct {
	l  net.Listener
	to string

	mu    sync.Mutex
	off   bool
	conns []net.Conn
}

func newCuttable(t *testing.T, to string) *cuttable {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	c := &cuttable{l: l, to: to}
	go c.run()
	t.Cleanup(func() { _ = l.Close(); c.cut() })
	return c
}

func (c *cuttable) run() {
	for {
		in, err := c.l.Accept()
		if err != nil {
			return
		}
		out, err := net.Dial("unix", c.to)
		c.mu.Lock()
		if c.off || err != nil {
			_ = in.Close()
			if out != nil {
				_ = out.Close()
			}
			c.mu.Unlock()
			continue
		}
		c.conns = append(c.conns, in, out)
		c.mu.Unlock()
		go pass(in, out)
		go pass(out, in)
	}
}

func pass(to, from net.Conn) {
	buffer := make([]byte, 32<<10)
	for {
		n, err := from.Read(buffer)
		if n > 0 {
			if _, err := to.Write(buffer[:n]); err != nil {
				break
			}
		}
		if err != nil {
			break
		}
	}
	_ = to.Close()
	_ = from.Close()
}

// cut breaks off what is connected, and lets nobody in.
func (c *cuttable) cut() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.off = true
	for _, conn := range c.conns {
		_ = conn.Close()
	}
	c.conns = nil
}

func (c *cuttable) mend() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.off = false
}
