package main

import (
	"context"
	"encoding/hex"
	"fmt"
	"net"
	"net/http"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	coltrace "go.opentelemetry.io/proto/otlp/collector/trace/v1"
	tracepb "go.opentelemetry.io/proto/otlp/trace/v1"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"

	pb "gauged/api/gauged/v1"
)

// collector takes spans, as OpenTelemetry Protocol 1.11 has it, from who has its token.
type collector struct {
	coltrace.UnimplementedTraceServiceServer
	address string

	mu    sync.Mutex
	spans []*tracepb.Span
}

func (c *collector) Export(ctx context.Context, r *coltrace.ExportTraceServiceRequest) (*coltrace.ExportTraceServiceResponse, error) {
	if got := metadata.ValueFromIncomingContext(ctx, "authorization"); !slices.Equal(got, []string{"Bearer of the collector"}) {
		return nil, status.Error(codes.Unauthenticated, "who is it?")
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, from := range r.GetResourceSpans() {
		for _, scope := range from.GetScopeSpans() {
			c.spans = append(c.spans, scope.GetSpans()...)
		}
	}
	return &coltrace.ExportTraceServiceResponse{}, nil
}

// newCollector serves a collector over TLS, and has the station of a trial tell it.
func newCollector(tr *trial) *collector {
	tr.t.Helper()
	(&issuer{tr: tr}).own("collector")
	shown, err := credentials.NewServerTLSFromFile(tr.path("collector.pem"), tr.path("collector.key"))
	if err != nil {
		tr.t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		tr.t.Fatal(err)
	}
	c, s := &collector{address: l.Addr().String()}, grpc.NewServer(grpc.Creds(shown))
	coltrace.RegisterTraceServiceServer(s, c)
	var serving sync.WaitGroup
	serving.Go(func() { _ = s.Serve(l) })
	tr.t.Cleanup(func() { s.Stop(); serving.Wait() })
	if err := os.WriteFile(tr.path("collector.token"), []byte("of the collector\n"), 0o600); err != nil {
		tr.t.Fatal(err)
	}
	station, err := os.ReadFile(tr.path("station.yaml"))
	if err != nil {
		tr.t.Fatal(err)
	}
	tr.write("station.yaml", string(station)+fmt.Sprintf("traces: {to: \"https://%s\", ca: collector.pem, token_file: collector.token}\n", c.address))
	return c
}

// named are the spans of a name that came so far.
func (c *collector) named(name string) (found []*tracepb.Span) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, s := range c.spans {
		if s.GetName() == name {
			found = append(found, s)
		}
	}
	return found
}

// about is what a span says of itself.
func about(s *tracepb.Span) map[string]string {
	all := map[string]string{}
	for _, a := range s.GetAttributes() {
		all[a.GetKey()] = a.GetValue().GetStringValue()
		if a.GetValue().GetStringValue() == "" {
			all[a.GetKey()] = fmt.Sprint(a.GetValue().GetIntValue())
		}
	}
	return all
}

// TestTraces: a collector gets one trace of a job, from the frames to the verdict, though the
// daemon is killed in mid-job, and each call in the trace of its caller. It learns neither who
// did it nor of which unit.
func TestTraces(t *testing.T) {
	gauged, _ := buildPrograms(t)
	http7481 := "127.0.0.1:" + port(t)
	tr := newTrial(t, "listen: {grpc: unix://s, http: "+http7481+"}\nPROCEDURES\n")
	c := newCollector(tr)
	daemon := tr.startProcess(gauged)
	id := tr.startTyped("SECRET-1")
	tr.enter(id, "0.0243")
	tr.await("the first reading is told", func() bool { return len(c.named("reading")) == 1 })
	killed(t, daemon)
	_ = tr.conn.Close()
	daemon = tr.startProcess(gauged)
	const callers = "4bf92f3577b34da6a3ce929d0e0e4736" // the example of W3C Trace Context, 3.2.2
	in := metadata.AppendToOutgoingContext(t.Context(), "traceparent", "00-"+callers+"-00f067aa0ba902b7-01")
	if _, err := tr.jobs().EnterReading(in, &pb.EnterReadingRequest{JobId: id, Shown: "0.0244", Unit: pb.Unit_UNIT_INCH}); err != nil {
		t.Fatal(err)
	}
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, "http://"+http7481+"/v1/gauges", nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("traceparent", "00-"+callers+"-00f067aa0ba902b7-01")
	answer, err := http.DefaultClient.Do(r)
	if err != nil || answer.StatusCode != http.StatusOK || answer.Body.Close() != nil {
		t.Fatal(answer, err)
	}
	if _, err := tr.jobs().CloseJob(t.Context(), &pb.CloseJobRequest{JobId: id, Reason: "tried", By: "Ada"}); err != nil {
		t.Fatal(err)
	}
	facts, err := tr.history().ListJobFacts(t.Context(), &pb.ListJobFactsRequest{JobId: id})
	if err != nil {
		t.Fatal(err)
	}
	tr.await("the whole job is told", func() bool { return len(c.named("job")) == 1 })

	root := c.named("job")[0]
	if len(root.GetParentSpanId()) != 0 {
		t.Errorf("the job is a part of %x", root.GetParentSpanId())
	}
	outcome := ""
	var told, want []string
	for _, name := range []string{"started", "reading", "verdict", "closed"} {
		for _, s := range c.named(name) {
			told = append(told, about(s)["gauged.seq"]+" "+name)
			if !slices.Equal(s.GetTraceId(), root.GetTraceId()) || !slices.Equal(s.GetParentSpanId(), root.GetSpanId()) {
				t.Errorf("%s is not in the trace of its job", name)
			}
			if name == "verdict" {
				outcome = about(s)["gauged.outcome"]
			}
		}
	}
	kinds := map[string]string{"started": "started", "taken": "reading", "verdict": "verdict", "closed": "closed"}
	for _, f := range facts.GetFacts() {
		m := f.ProtoReflect()
		want = append(want, fmt.Sprint(f.GetSeq(), " ", kinds[string(m.WhichOneof(m.Descriptor().Oneofs().ByName("step")).Name())]))
	}
	slices.Sort(told)
	slices.Sort(want)
	if !cmp.Equal(told, want) || len(want) < 5 {
		t.Errorf("told is %v, in the history are %v", told, want)
	}
	if got := about(root); got["gauged.procedure"] != "idler-thrust-washer" || outcome == "" || got["gauged.outcome"] != outcome {
		t.Errorf("the job says %v, its verdict %q", got, outcome)
	}
	for i, s := range c.named("reading") {
		take, store := c.named("take")[i], c.named("store")[i]
		if s.GetStartTimeUnixNano() != take.GetStartTimeUnixNano() || take.GetEndTimeUnixNano() != store.GetStartTimeUnixNano() || store.GetEndTimeUnixNano() != s.GetEndTimeUnixNano() ||
			s.GetStartTimeUnixNano() < root.GetStartTimeUnixNano() || s.GetEndTimeUnixNano() > root.GetEndTimeUnixNano() || s.GetEndTimeUnixNano() <= s.GetStartTimeUnixNano() {
			t.Errorf("reading %d took %v, of which %v until it was taken and %v until it was stored", i, took(s), took(take), took(store))
		}
		if got := about(s); got["gauged.shown"] != []string{"0.0243", "0.0244"}[i] || got["gauged.unit"] != "in" || got["gauged.measurement"] == "" {
			t.Errorf("reading %d says %v", i, got)
		}
	}
	for _, call := range []string{"EnterReading", "ListGauges"} {
		is := slices.ContainsFunc(c.spans, func(s *tracepb.Span) bool {
			return strings.HasSuffix(s.GetName(), "/"+call) && hex.EncodeToString(s.GetTraceId()) == callers
		})
		if !is {
			t.Errorf("%s is not in the trace of its caller", call)
		}
	}
	for _, s := range c.spans {
		if text := s.String(); strings.Contains(text, "SECRET") || strings.Contains(text, "Ada") {
			t.Errorf("a span says too much: %s", text)
		}
	}
	killed(t, daemon)
}

func took(s *tracepb.Span) time.Duration {
	return time.Duration(s.GetEndTimeUnixNano() - s.GetStartTimeUnixNano())
}

// TestNoCollector: where the collector is away or knows the station not, jobs go on, and the
// log says once that traces are left out.
func TestNoCollector(t *testing.T) {
	tr := newTrial(t, socket+"PROCEDURES\n")
	c := newCollector(tr)
	if err := os.WriteFile(tr.path("collector.token"), []byte("wrong\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	tr.start()
	id := tr.startTyped("1")
	tr.enter(id, "0.0243")
	tr.await("the log says that traces are left out", func() bool { return strings.Contains(tr.log.String(), "traces were not taken") })
	tr.enter(id, "0.0244")
	if len(c.spans) != 0 {
		t.Errorf("%d spans were taken", len(c.spans))
	}
}
