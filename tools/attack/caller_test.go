package attack

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/status"

	pb "gauged/api/gauged/v1"
)

// callVariable makes the test program a caller that does what it says.
const callVariable = "GAUGED_TEST_ATTACK"

// caller misbehaves in a process of its own, so that what it takes of the machine is not
// taken for what it costs the daemon or the one who measures.
type caller struct {
	What  string
	Count int
	Round int    // how often it was done before
	Dir   string // of the station
	Page  string
	HTTP  string

	conn   *grpc.ClientConn
	mu     sync.Mutex
	failed bool
}

var calls = map[string]func(*caller, int){"forms": forms, "messages": messages, "frames": frames, "unknown": unknown, "senders": senders, "busy": busy, "half": halfSent, "crumbs": crumbs, "far back": farBack}

func TestMain(m *testing.M) {
	if order := os.Getenv(callVariable); order != "" {
		os.Exit(call(order))
	}
	os.Exit(m.Run())
}

func call(order string) int {
	c := &caller{}
	if err := json.Unmarshal([]byte(order), c); err != nil {
		panic(err)
	}
	conn, err := dial(c.Dir)
	if err != nil {
		panic(err)
	}
	c.conn = conn
	calls[c.What](c, c.Count)
	if c.failed {
		return 1
	}
	return 0
}

// Errorf says what went otherwise than is promised.
func (c *caller) Errorf(format string, args ...any) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.failed = true
	fmt.Printf(format+"\n", args...)
}

// from has a caller do something so often, at the lowest priority: it may be on another machine.
func from(what string) func(*station, int) {
	return func(s *station, n int) {
		order, err := json.Marshal(&caller{What: what, Count: n, Round: s.round, Dir: s.dir, Page: s.page, HTTP: s.http})
		if err != nil {
			s.t.Fatal(err)
		}
		child := exec.Command("nice", "-n", "19", os.Args[0])
		child.Env = append(os.Environ(), callVariable+"="+string(order))
		if out, err := child.CombinedOutput(); err != nil {
			s.t.Errorf("%s: %v\n%s", what, err, out)
		}
	}
}

// dial connects to the daemon of a station; what is sent may be as long as it likes.
func dial(dir string) (*grpc.ClientConn, error) {
	return grpc.NewClient("unix://"+filepath.Join(dir, "s"), grpc.WithTransportCredentials(insecure.NewCredentials()), grpc.WithDefaultCallOptions(grpc.MaxCallSendMsgSize(1<<30)))
}

// busy takes what it gets of the processors for tenths of a second, and calls nobody.
func busy(_ *caller, tenths int) {
	end := time.Now().Add(time.Duration(tenths) * 100 * time.Millisecond)
	var running sync.WaitGroup
	for range 2 * runtime.NumCPU() {
		running.Go(func() {
			for n := uint64(1); time.Now().Before(end); n++ {
				sink.Store(n)
			}
		})
	}
	running.Wait()
}

var sink atomic.Uint64 // keeps the work of busy from being left out

const large = 41 << 20

func forms(c *caller, n int) {
	form := "a=" + strings.Repeat("x", large)
	var sending sync.WaitGroup
	for range n {
		sending.Go(func() {
			answer, err := http.Post("http://"+c.Page+"/settings", "application/x-www-form-urlencoded", strings.NewReader(form))
			if err != nil {
				return // the daemon closed the connection before it had read all
			}
			defer answer.Body.Close()
			if answer.StatusCode != http.StatusRequestEntityTooLarge {
				c.Errorf("a form of 41 MB is answered with %s", answer.Status)
			}
		})
	}
	sending.Wait()
}

func messages(c *caller, n int) {
	m := &pb.StartJobRequest{ProcedureId: strings.Repeat("x", large)}
	var sending sync.WaitGroup
	for range n {
		sending.Go(func() {
			_, err := pb.NewJobServiceClient(c.conn).StartJob(context.Background(), m)
			if status.Code(err) != codes.ResourceExhausted {
				c.Errorf("a message of 41 MB is answered with %v", err)
			}
		})
	}
	sending.Wait()
}

// send streams readings and returns the last answer.
func send(c *caller, source string, n, atOnce int, reading func(int) *pb.IngestedReading) {
	stream, err := pb.NewGaugeServiceClient(c.conn).IngestReadings(context.Background())
	if err != nil {
		panic(err)
	}
	if err := stream.Send(&pb.IngestReadingsRequest{Source: source}); err != nil {
		panic(err)
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
		c.Errorf("%s: %v", source, err)
	}
	_ = stream.CloseSend()
}

func frames(c *caller, n int) {
	raw := make([]byte, 12_000) // three times what is kept
	send(c, fmt.Sprint("long frames ", c.Round), n, 300, func(int) *pb.IngestedReading {
		return &pb.IngestedReading{GaugeId: "far", Shown: "1.000", Unit: pb.Unit_UNIT_MILLIMETRE, Raw: raw}
	})
	for token := ""; ; {
		page, err := pb.NewHistoryServiceClient(c.conn).ListRejects(context.Background(), &pb.ListRejectsRequest{GaugeId: "far", PageToken: token})
		if err != nil {
			c.Errorf("the history cannot be read: %v", err)
			return
		}
		if token = page.GetNextPageToken(); token == "" {
			return
		}
	}
}

func unknown(c *caller, n int) {
	before := c.size()
	send(c, fmt.Sprint("unknown gauges ", c.Round), n, 10_000, func(int) *pb.IngestedReading {
		return &pb.IngestedReading{GaugeId: "nobody", Shown: "1.000", Unit: pb.Unit_UNIT_MILLIMETRE}
	})
	if grown := c.size() - before; grown > 4<<20 { // the log of the history may have that of other readings
		c.Errorf("%d readings that nobody knows took %d kB of the disk", n, grown>>10)
	}
}

// size is what the history takes on the disk.
func (c *caller) size() (bytes int64) {
	for _, name := range []string{"history.db", "history.db-wal"} {
		if info, err := os.Stat(filepath.Join(c.Dir, name)); err == nil {
			bytes += info.Size()
		}
	}
	return bytes
}

func senders(c *caller, n int) {
	refused := 0
	for i := range n {
		stream, err := pb.NewGaugeServiceClient(c.conn).IngestReadings(context.Background())
		if err != nil {
			panic(err)
		}
		_ = stream.Send(&pb.IngestReadingsRequest{Source: fmt.Sprint("sender ", i)})
		switch _, err := stream.Recv(); {
		case status.Code(err) == codes.FailedPrecondition:
			refused++
		case err != nil:
			c.Errorf("sender %d: %v", i, err)
			return
		}
		_ = stream.CloseSend()
	}
	if refused == 0 {
		c.Errorf("%d senders were all taken", n)
	}
}
