package server

import (
	"context"
	"errors"
	"io"
	"net"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	healthv1 "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/metadata"
	reflectionv1 "google.golang.org/grpc/reflection/grpc_reflection_v1"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/access"
)

func TestShutdownEndsOpenStreams(t *testing.T) {
	r := newRig(t)
	id := r.start(nil).GetId()
	watching, _ := r.watch(t.Context(), &gaugedv1.WatchReadingsRequest{})
	ingesting, _ := r.open(t.Context(), "program")
	job, err := r.jobs.WatchJob(t.Context(), &gaugedv1.WatchJobRequest{JobId: id})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := job.Recv(); err != nil {
		t.Fatal(err)
	}
	silent, err := r.evaluation.StreamEvaluations(t.Context()) // has not even said who it is
	if err != nil {
		t.Fatal(err)
	}
	within(t, 2*time.Second, "the shutdown", func() {
		ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
		defer cancel()
		if err := r.server.Shutdown(ctx); err != nil {
			t.Errorf("shutdown: %v", err)
		}
	})
	for name, recv := range map[string]func() error{
		"WatchReadings":     func() error { _, err := watching.Recv(); return err },
		"IngestReadings":    func() error { _, err := ingesting.Recv(); return err },
		"WatchJob":          func() error { _, err := job.Recv(); return err },
		"StreamEvaluations": func() error { _, err := silent.Recv(); return err },
	} {
		t.Run(name, func(t *testing.T) { wantStatus(t, recv(), codes.Unavailable, "the daemon is stopping") })
	}
}

func TestShutdownCutsOffAClientThatDoesNotRead(t *testing.T) {
	r := newRig(t)
	deaf, _ := r.watch(t.Context(), &gaugedv1.WatchReadingsRequest{})
	r.fill("program", 5000) // more than the buffers on the way hold
	within(t, 5*time.Second, "the shutdown", func() {
		ctx, cancel := context.WithTimeout(context.Background(), 200*time.Millisecond)
		defer cancel()
		if err := r.server.Shutdown(ctx); err != nil && !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("shutdown: %v", err)
		}
	})
	if err := drain(deaf); err == nil {
		t.Error("the watch goes on after the shutdown")
	}
}

func drain(stream gaugedv1.GaugeService_WatchReadingsClient) error {
	for {
		if _, err := stream.Recv(); err != nil {
			return err
		}
	}
}

func TestHealthAndReflection(t *testing.T) {
	r := newRig(t)
	check := healthv1.NewHealthClient(r.conn)
	services := []string{"", "gauged.v1.GaugeService", "gauged.v1.ProcedureService", "gauged.v1.JobService", "gauged.v1.EvaluationService", "gauged.v1.HistoryService"}
	for _, name := range services {
		answer, err := check.Check(t.Context(), &healthv1.HealthCheckRequest{Service: name})
		if err != nil || answer.GetStatus() != healthv1.HealthCheckResponse_SERVING {
			t.Errorf("health of %q = %v, %v", name, answer, err)
		}
	}
	stream, err := reflectionv1.NewServerReflectionClient(r.conn).ServerReflectionInfo(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := stream.Send(&reflectionv1.ServerReflectionRequest{MessageRequest: &reflectionv1.ServerReflectionRequest_ListServices{}}); err != nil {
		t.Fatal(err)
	}
	answer, err := stream.Recv()
	if err != nil {
		t.Fatal(err)
	}
	var listed []string
	for _, s := range answer.GetListServicesResponse().GetService() {
		listed = append(listed, s.GetName())
	}
	for _, name := range services[1:] {
		contains(t, strings.Join(listed, " "), name)
	}
	if err := stream.CloseSend(); err != nil {
		t.Fatal(err)
	}
	changes, err := check.Watch(t.Context(), &healthv1.HealthCheckRequest{})
	if err != nil {
		t.Fatal(err)
	}
	if first, err := changes.Recv(); err != nil || first.GetStatus() != healthv1.HealthCheckResponse_SERVING {
		t.Fatalf("health = %v, %v", first, err)
	}
	// A call that lasts keeps the server in its shutdown; health has changed by then.
	r.server.health.Shutdown()
	if second, err := changes.Recv(); err != nil || second.GetStatus() != healthv1.HealthCheckResponse_NOT_SERVING {
		t.Errorf("health during shutdown = %v, %v", second, err)
	}
}

func TestAPanicEndsOneCallOnly(t *testing.T) {
	r := newRig(t)
	const text = "a fault of the daemon; its log says more"
	_, err := r.server.unary(t.Context(), nil, &grpc.UnaryServerInfo{FullMethod: "/gauged.v1.JobService/ListJobs"}, func(context.Context, any) (any, error) { panic("broken") })
	wantStatus(t, err, codes.Internal, text)
	err = r.server.stream(nil, contextStream{t.Context()}, &grpc.StreamServerInfo{FullMethod: "/gauged.v1.JobService/WatchJobs"}, func(any, grpc.ServerStream) error { panic("broken") })
	wantStatus(t, err, codes.Internal, text)
	for _, part := range []string{"call=/gauged.v1.JobService/ListJobs", "call=/gauged.v1.JobService/WatchJobs", "panic=broken", "TestAPanicEndsOneCallOnly"} {
		contains(t, r.log.String(), part)
	}
}

// contextStream is a stream that has only a context.
type contextStream struct{ ctx context.Context }

func (s contextStream) Context() context.Context   { return s.ctx }
func (contextStream) SetHeader(metadata.MD) error  { return nil }
func (contextStream) SendHeader(metadata.MD) error { return nil }
func (contextStream) SetTrailer(metadata.MD)       {}
func (contextStream) SendMsg(any) error            { return nil }
func (contextStream) RecvMsg(any) error            { return io.EOF }

func TestFailuresBehindACall(t *testing.T) {
	r := newRig(t)
	r.stopStation()
	_, err := r.jobs.StartJob(t.Context(), &gaugedv1.StartJobRequest{ProcedureId: "ring", UnitSerial: "U", By: "M"})
	wantStatus(t, err, codes.Unavailable, "the station has stopped")
	if text := r.log.String(); text != "" {
		t.Errorf("log = %s", text)
	}
	_, err = r.history.ListReadings(t.Context(), &gaugedv1.ListReadingsRequest{})
	wantStatus(t, err, codes.Unavailable, "read readings from history: the daemon is stopping")
}

func TestServeReturnsWhyAListenerFailed(t *testing.T) {
	r := newRig(t)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	good, err := access.ListenUnix(socketPath(t))
	if err != nil {
		t.Fatal(err)
	}
	s := New(Options{Station: r.Station, Log: r.log.logger()})
	within(t, 5*time.Second, "Serve", func() {
		if err := s.Serve(good, l); !errors.Is(err, net.ErrClosed) {
			t.Errorf("error = %v, want %v", err, net.ErrClosed)
		}
	})
	if err := s.Shutdown(t.Context()); err != nil {
		t.Errorf("shutdown: %v", err)
	}
}
