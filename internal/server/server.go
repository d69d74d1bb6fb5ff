package server

import (
	"cmp"
	"context"
	"errors"
	"log/slog"
	"net"
	"slices"
	"sync"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/health"
	healthv1 "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/keepalive"
	"google.golang.org/grpc/reflection"
	"google.golang.org/grpc/stats"
	"google.golang.org/grpc/test/bufconn"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/access"
	"gauged/internal/exits"
	"gauged/internal/gauge"
	"gauged/internal/library"
	"gauged/internal/sheet"
	"gauged/internal/station"
)

// Options is what a server is made from.
type Options struct {
	Station *station.Station
	Files   Files // of the library; nil: they cannot be read again
	Log     *slog.Logger
	Info    Info
	Guard   *access.Guard   // finds out who calls; nil: nobody comes in
	Pairing *access.Pairing // pairs devices with the page; nil: there is no page
	Exits   *exits.Exits    // hand on what is stored; nil: there are none
	Calls   stats.Handler   // sees each call, for traces; nil: nobody does
}

// Info is what the daemon says of itself.
type Info struct {
	Name      string // of the station
	Shop      gauge.Shop
	Version   string // of the program
	Started   time.Time
	Languages []string
	// Size returns the version of the history's schema and the history's size in bytes.
	Size func(context.Context) (schema int, bytes int64, err error)
}

// Files are the files of the station's procedures and part families.
type Files interface {
	// Reload reads them again and returns those that have come in force by that.
	Reload(ctx context.Context) ([]library.File, error)
}

// Server serves one station over gRPC.
type Server struct {
	grpc     *grpc.Server
	health   *health.Server
	inside   *bufconn.Listener // where this process itself comes in: see Inside
	station  *station.Station
	guard    *access.Guard
	log      *slog.Logger
	stopping context.Context // ends when the shutdown begins
	stop     context.CancelFunc
	calls    places
	readers  sync.WaitGroup // those who read ahead of the calls, see readAhead
}

// maxMessage is the most bytes of a message, either way. It is what a client
// of gRPC accepts when nobody tells it otherwise.
const maxMessage = 4 << 20

// maxReceived is up to where a request is read, so that one that is too large is
// answered in words of our own, which say what to do. What is longer still is refused
// before it is read, in those of gRPC.
const maxReceived = 2 * maxMessage

// A connection that says nothing before its calls, or has none for a while, is ended.
const (
	greetWithin = 10 * time.Second
	mostIdle    = 10 * time.Minute
)

// insideBuffer is how many bytes wait at most on a connection from inside.
const insideBuffer = 32 << 10

// How many calls may be open at once: on one connection, of one peer, and in all. Each takes
// streamWindow at most of what was sent and is not read yet, besides what halfSent counts.
const (
	mostCalls       = 100
	mostCallsOfPeer = 256
	mostCallsInAll  = 512
	streamWindow    = 64 << 10
	connWindow      = 1 << 20 // is not kept: it is given back as what is sent comes
	longestHeaders  = 16 << 10
)

// New returns a server that is ready to serve.
func New(o Options) *Server {
	s := &Server{health: health.NewServer(), inside: bufconn.Listen(insideBuffer), station: o.Station, guard: o.Guard, log: o.Log}
	s.stopping, s.stop = context.WithCancel(context.Background())
	s.grpc = grpc.NewServer(
		grpc.Creds(door{o.Guard, newHalfSent(o.Log, o.Station.Now)}), grpc.ForceServerCodecV2(codec()), grpc.MaxRecvMsgSize(maxReceived), grpc.MaxSendMsgSize(maxMessage),
		grpc.KeepaliveEnforcementPolicy(keepalive.EnforcementPolicy{MinTime: 10 * time.Second, PermitWithoutStream: true}),
		grpc.KeepaliveParams(keepalive.ServerParameters{Time: 30 * time.Second, Timeout: 10 * time.Second, MaxConnectionIdle: mostIdle}),
		grpc.ConnectionTimeout(greetWithin), grpc.MaxConcurrentStreams(mostCalls),
		grpc.StaticStreamWindowSize(streamWindow), grpc.StaticConnWindowSize(connWindow), grpc.MaxHeaderListSize(longestHeaders),
		grpc.InTapHandle(s.knock), grpc.UnaryInterceptor(s.unary), grpc.StreamInterceptor(s.stream),
		grpc.WaitForHandlers(true), seenBy(o.Calls),
	)
	calls := holding{s.grpc}
	intake := &intake{station: o.Station, guard: o.Guard, readers: &s.readers, streams: map[string]*sender{}}
	gaugedv1.RegisterGaugeServiceServer(calls, &gaugeService{station: o.Station, intake: intake})
	gaugedv1.RegisterProcedureServiceServer(calls, &procedureService{station: o.Station, files: o.Files})
	gaugedv1.RegisterJobServiceServer(calls, &jobService{station: o.Station, info: o.Info})
	gaugedv1.RegisterEvaluationServiceServer(calls, &evaluationService{station: o.Station, intake: intake})
	gaugedv1.RegisterHistoryServiceServer(calls, &historyService{station: o.Station})
	gaugedv1.RegisterHealthServiceServer(calls, &healthService{station: o.Station, house: sheet.House{Station: o.Info.Name, Shop: o.Info.Shop}, version: o.Info.Version})
	gaugedv1.RegisterStudyServiceServer(calls, &studyService{station: o.Station})
	gaugedv1.RegisterAccessServiceServer(calls, &accessService{station: o.Station, guard: o.Guard, pairing: o.Pairing})
	gaugedv1.RegisterExitServiceServer(calls, &exitService{exits: cmp.Or(o.Exits, exits.New(exits.Options{}))})
	gaugedv1.RegisterServerServiceServer(calls, &infoService{station: o.Station, info: o.Info, open: o.Guard.Open()})
	for name := range s.grpc.GetServiceInfo() {
		s.health.SetServingStatus(name, healthv1.HealthCheckResponse_SERVING)
	}
	healthv1.RegisterHealthServer(s.grpc, s.health)
	reflection.Register(s.grpc)
	return s
}

func seenBy(h stats.Handler) grpc.ServerOption {
	if h == nil {
		return grpc.EmptyServerOption{}
	}
	return grpc.StatsHandler(h)
}

// Serve serves on all listeners, and this process itself, until Shutdown, and closes them.
// When one fails, it ends the others and returns the error.
func (s *Server) Serve(listeners ...net.Listener) error {
	listeners = append(slices.Clone(listeners), s.inside)
	errs := make([]error, len(listeners))
	var serving sync.WaitGroup
	for i, l := range listeners {
		serving.Go(func() {
			// Stopped before it began is an orderly end too.
			if err := s.grpc.Serve(l); err != nil && !errors.Is(err, grpc.ErrServerStopped) {
				errs[i] = err
				s.stop()
				s.grpc.Stop()
			}
		})
	}
	serving.Wait()
	return errors.Join(errs...)
}

// Shutdown ends the server in order: health says that it does not serve,
// streams end with Unavailable, running calls are waited for until ctx ends,
// and then everything that is left is cut off. It returns the error of ctx
// when that was needed.
func (s *Server) Shutdown(ctx context.Context) error {
	s.health.Shutdown()
	s.stop()
	graceful := make(chan struct{})
	go func() {
		defer close(graceful)
		s.grpc.GracefulStop()
	}()
	var err error
	select {
	case <-graceful:
	case <-ctx.Done():
		err = ctx.Err()
		s.grpc.Stop()
		<-graceful
	}
	s.readers.Wait()
	return err
}
