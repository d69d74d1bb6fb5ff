package client_test

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	pb "gauged/api/gauged/v1"
	"gauged/client"
)

// fill stores the readings from to through, whatever happens meanwhile.
func fill(t *testing.T, c *client.Client, through int, each func(n int)) {
	t.Helper()
	f, err := c.Feed(t.Context(), client.Sender{Source: "press-1", Outage: client.Outage{Patient: true}})
	if err != nil {
		t.Error(err)
		return
	}
	defer f.Close()
	for n := int(f.Through()) + 1; n <= through; n++ {
		if err := f.Send(t.Context(), reading(n)); err != nil {
			t.Error(err)
			return
		}
		each(n)
	}
	if err := f.Flush(t.Context()); err != nil {
		t.Error(err)
	}
}

// TestWatchReadings: who watches gets each reading once, in order, while the daemon is killed
// or the network is cut, and goes on from a place in another connection.
func TestWatchReadings(t *testing.T) {
	troubles(t, func(t *testing.T, b *bench, address string, trouble func()) {
		const most = 12_000
		direct, c := dial(t, "unix://"+b.socket), dial(t, address)
		filled := make(chan bool)
		go func() {
			defer close(filled)
			fill(t, direct, most, func(n int) {
				if n%4000 == 2000 {
					trouble()
				}
			})
		}()
		defer func() { <-filled }()
		var got []string
		var place client.Place
		lost, back := 0, 0
		o := client.Outage{Patient: true, Lost: func(error) { lost++ }, Back: func() { back++ }}
		for len(got) < most {
			enough := len(got) + most/3
			for event, err := range c.WatchReadings(t.Context(), &pb.WatchReadingsRequest{AfterSeq: &place.AfterSeq, StretchId: place.StretchID}, o) {
				if err != nil {
					t.Fatal(err)
				}
				place = event.Place
				if r := event.Message.GetReading(); r != nil {
					got = append(got, r.GetValue().GetText())
					if place.AfterSeq != r.GetSeq() {
						t.Fatalf("reading %d has place %v", r.GetSeq(), place)
					}
				}
				if len(got) == most || len(got) == enough { // by another watch from here
					break
				}
			}
		}
		for i, text := range got {
			if want := reading(i + 1).GetShown(); text != want {
				t.Fatalf("reading %d is %s, want %s", i+1, text, want)
			}
		}
		if lost == 0 || back == 0 || back > lost {
			t.Errorf("%d outages and %d returns were told", lost, back)
		}
	})
}

// judged makes a job with a verdict and returns its number.
func judged(t *testing.T, c *client.Client, unit string) uint64 {
	t.Helper()
	jobs := pb.NewJobServiceClient(c.Conn())
	started, err := jobs.StartJob(t.Context(), &pb.StartJobRequest{ProcedureId: "idler-thrust-washer", UnitSerial: unit, By: "test"})
	if err != nil {
		t.Fatal(err)
	}
	for _, shown := range []string{"0.0243", "0.0244"} {
		if _, err := jobs.EnterReading(t.Context(), &pb.EnterReadingRequest{JobId: started.GetJob().GetId(), Shown: shown, Unit: pb.Unit_UNIT_INCH}); err != nil {
			t.Fatal(err)
		}
	}
	return started.GetJob().GetId()
}

// TestWatchVerdicts: each verdict comes once, over outages, and a job that is watched is seen
// as it stands after them.
func TestWatchVerdicts(t *testing.T) {
	troubles(t, func(t *testing.T, b *bench, address string, trouble func()) {
		direct, c := dial(t, "unix://"+b.socket), dial(t, address)
		ctx, end := context.WithCancel(t.Context())
		defer end()
		got, ended := make(chan uint64, 100), make(chan error, 1)
		go func() {
			for event, err := range c.WatchJobs(ctx, &pb.WatchJobsRequest{VerdictsOnly: true, AfterSeq: proto.Uint64(0)}, client.Outage{Patient: true}) {
				if err != nil {
					ended <- err
				} else if change := event.Message.GetChange(); change != nil {
					got <- change.GetJobId()
				}
			}
		}()
		for round := range 4 {
			for n := range 3 {
				id := judged(t, direct, fmt.Sprintf("V-%d-%d", round, n))
				if n == 1 {
					trouble()
				}
				if verdict := <-got; verdict != id {
					t.Fatalf("the verdict of job %d comes, want that of %d", verdict, id)
				}
			}
		}
		end()
		if err := <-ended; !errors.Is(err, context.Canceled) {
			t.Errorf("the watch ended with %v", err)
		}
		stages := 0
		for event, err := range c.WatchJob(t.Context(), &pb.WatchJobRequest{JobId: 1}, client.Outage{Patient: true}) {
			if err != nil {
				t.Fatal(err)
			}
			if stages++; stages == 1 {
				trouble()
				if _, err := pb.NewJobServiceClient(direct.Conn()).CloseJob(t.Context(), &pb.CloseJobRequest{JobId: 1, Reason: "done", By: "test"}); err != nil {
					t.Fatal(err)
				}
			} else if event.Message.GetJob().GetStage() == pb.JobStage_JOB_STAGE_CLOSED {
				stages = -1
			}
		}
		if stages != -1 {
			t.Error("the watch of a job ended before it was closed")
		}
	})
}

// TestSlowConsumer: who takes no event for long takes little memory and holds up nobody. It is
// told that it lags, and then gets each reading.
func TestSlowConsumer(t *testing.T) {
	const most, raw = 30_000, 1000
	b := station(t)
	slow, quicker := dial(t, "unix://"+b.socket), dial(t, "unix://"+b.socket)
	var before, after runtime.MemStats
	next, lags := 1, 0
	for event, err := range slow.WatchReadings(t.Context(), &pb.WatchReadingsRequest{}, client.Outage{}) {
		if err != nil {
			t.Fatal(err)
		}
		if event.Message.GetStart() != nil { // the loop stands still here while others work
			runtime.GC()
			runtime.ReadMemStats(&before)
			feedLong(t, quicker, most, raw)
			runtime.GC()
			runtime.ReadMemStats(&after)
		}
		if lag := event.Message.GetLag(); lag != nil {
			if lags++; event.Place.AfterSeq > lag.GetAfterSeq() || lag.GetNewestSeq() < lag.GetAfterSeq()+8192 {
				t.Errorf("at %v it is told %v", event.Place, lag)
			}
		}
		if r := event.Message.GetReading(); r != nil {
			if want := reading(next).GetShown(); r.GetValue().GetText() != want {
				t.Fatalf("reading %d is %s, want %s", next, r.GetValue().GetText(), want)
			}
			if next++; next > most {
				break
			}
		}
	}
	if lags == 0 {
		t.Error("it was never told that it lags")
	}
	if grown := int64(after.HeapAlloc) - int64(before.HeapAlloc); grown > most*raw/3 {
		t.Errorf("with %d bytes of readings to take, %d are held", most*raw, grown)
	}
}

// feedLong feeds readings with long frames and returns when they are durable.
func feedLong(t *testing.T, c *client.Client, most, raw int) {
	t.Helper()
	f, err := c.Feed(t.Context(), client.Sender{Source: "press-1"})
	if err != nil {
		t.Fatal(err)
	}
	for n := 1; n <= most; n++ {
		r := reading(n)
		r.Raw = slices.Repeat([]byte{'x'}, raw)
		if err := f.Send(t.Context(), r); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(f.Flush(t.Context()), f.Close()); err != nil {
		t.Fatal(err)
	}
}

// TestWatchRefused: a refusal ends a watch, with the reason of the contract; so does a daemon
// that is not there, unless it is waited for.
func TestWatchRefused(t *testing.T) {
	b := station(t)
	c := dial(t, "unix://"+b.socket)
	for event, err := range c.WatchReadings(t.Context(), &pb.WatchReadingsRequest{GaugeIds: []string{"pres"}}, client.Outage{Patient: true}) {
		r, ok := client.RefusalOf(err)
		if !ok || r.Reason != "GAUGE_MISSING" || r.Arguments["gauge"] != "pres" || r.Message == nil || status.Code(err) != codes.NotFound {
			t.Errorf("a gauge that is not there: %v, %+v, %v", event, r, err)
		}
	}
	for _, err := range c.WatchJobs(t.Context(), &pb.WatchJobsRequest{AfterSeq: proto.Uint64(9999)}, client.Outage{Patient: true}) {
		if r, _ := client.RefusalOf(err); r.Reason != "WATCH_OTHER_HISTORY" {
			t.Errorf("a place of another history: %v", err)
		}
	}
	b.kill()
	for _, err := range c.WatchJobs(t.Context(), &pb.WatchJobsRequest{}, client.Outage{}) {
		if _, refused := client.RefusalOf(err); refused || status.Code(err) != codes.Unavailable || c.LastFailure() == nil {
			t.Errorf("without a daemon: %v, %v", err, c.LastFailure())
		}
	}
	if _, err := c.Feed(t.Context(), client.Sender{Source: "press-1"}); status.Code(err) != codes.Unavailable {
		t.Errorf("a feed without a daemon: %v", err)
	}
	for address, want := range map[string]string{"bench": `"bench" is not an address`, "http://a:1": "use unix:///path, /path or host:port"} {
		if _, err := client.Dial(address, client.Options{}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", address, err)
		}
	}
}
