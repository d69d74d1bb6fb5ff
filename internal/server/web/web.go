// Package web serves the calls of the contract over HTTP with JSON: each of them by a
// method and path of its own (api/http.yaml), what happens as server-sent events, and
// readings of programs as they come. What a call needs, may be and answers is as in gRPC,
// since each goes on to the calls themselves.
package web

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"time"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"go.opentelemetry.io/otel/propagation"
	"google.golang.org/grpc"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/access"
	"gauged/internal/wire"
)

// Options is what the door is made from.
type Options struct {
	Inside func(...grpc.DialOption) (*grpc.ClientConn, error) // a connection to the calls: see server.Inside
	Guard  *access.Guard                                      // finds out who calls
	Log    *slog.Logger
}

// mostBody is the most bytes of the body of a request, as of a message of gRPC.
const mostBody = 4 << 20

// form is how messages are written, and read: unknown fields of a request are refused.
var form = compact{runtime.JSONPb{MarshalOptions: wire.JSONForm}}

// compact writes JSON without blanks, which the library puts in or leaves out as it likes.
type compact struct{ runtime.JSONPb }

// Marshal is that of runtime.Marshaler.
func (c *compact) Marshal(v any) ([]byte, error) {
	spaced, err := c.JSONPb.Marshal(v)
	if err != nil {
		return nil, err
	}
	return wire.Compacted(spaced)
}

// site is what is served.
type site struct {
	Options
	calls    *runtime.ServeMux // one path for each call
	watchers *watchers
}

// Server serves the calls on a listener of its own.
type Server struct {
	*http.Server
	conn     *grpc.ClientConn
	watchers *watchers
}

// Shutdown ends the server when its requests are answered, or ctx ends.
func (s *Server) Shutdown(ctx context.Context) error {
	return errors.Join(s.Server.Shutdown(ctx), s.conn.Close(), s.watchers.close())
}

// NewServer returns a server that is ready to serve.
func NewServer(o Options) (*Server, error) {
	s := &site{Options: o}
	conn, err := o.Inside(grpc.WithChainUnaryInterceptor(identified))
	if err != nil {
		return nil, err
	}
	if s.calls, err = callsOver(conn); err != nil {
		return nil, errors.Join(err, conn.Close())
	}
	if s.watchers, err = newWatchers(o.Inside); err != nil {
		return nil, errors.Join(err, conn.Close())
	}
	handler, err := s.handler()
	if err != nil {
		return nil, errors.Join(err, conn.Close(), s.watchers.close())
	}
	return &Server{&http.Server{
		Handler: handler, ErrorLog: access.ErrorLog(o.Log, slog.LevelWarn),
		ReadHeaderTimeout: 5 * time.Second, ReadTimeout: time.Minute, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 64 << 10,
	}, conn, s.watchers}, nil
}

// handler lets in who may come and leads them to what they ask for.
func (s *site) handler() (http.Handler, error) {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /v1/openapi.json", contract)
	mux.HandleFunc("GET /v1/jobs/{job_id}/document", s.jobDocument())
	mux.HandleFunc("GET /v1/gauges/{gauge_id}/checks/{check_seq}/document", s.checkDocument())
	mux.HandleFunc("GET /v1/events/readings", s.readings)
	mux.HandleFunc("GET /v1/events/jobs", s.jobs)
	mux.HandleFunc("GET /v1/events/jobs/{job_id}", s.job)
	mux.HandleFunc("POST /v1/gauges/{gauge_id}/recalls", s.recall)
	mux.HandleFunc("POST /v1/jobs/{job_id}/motions:capture", s.motion)
	mux.HandleFunc("POST /v1/readings", s.ingest)
	mux.HandleFunc("/", s.call)
	known, err := s.documented(mux)
	if err != nil {
		return nil, err
	}
	return s.Guard.Foreigners(foreign, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		caller, err := s.Guard.OfRequest(r)
		if err != nil {
			s.Guard.Refused(access.Subject(caller, r.RemoteAddr), access.HTTP(), err)
			refuse(w, r, err)
			return
		}
		ctx := propagation.TraceContext{}.Extract(r.Context(), propagation.HeaderCarrier(r.Header))
		known.ServeHTTP(w, r.WithContext(access.With(ctx, caller)))
	})), nil
}

// callsOver returns the paths of all calls, which are made over a connection.
func callsOver(conn *grpc.ClientConn) (*runtime.ServeMux, error) {
	nothing := func(string) (string, bool) { return "", false } // no header becomes a word of gRPC, or the other way
	mux := runtime.NewServeMux(
		runtime.WithMarshalerOption(runtime.MIMEWildcard, &form),
		runtime.WithIncomingHeaderMatcher(nothing), runtime.WithOutgoingHeaderMatcher(nothing), runtime.WithOutgoingTrailerMatcher(nothing),
		runtime.WithErrorHandler(failed), runtime.WithRoutingErrorHandler(misled),
		runtime.WithUnescapingMode(runtime.UnescapingModeAllCharacters), runtime.WithDisablePathLengthFallback(),
	)
	for _, register := range []func(context.Context, *runtime.ServeMux, *grpc.ClientConn) error{
		gaugedv1.RegisterGaugeServiceHandler, gaugedv1.RegisterProcedureServiceHandler, gaugedv1.RegisterJobServiceHandler,
		gaugedv1.RegisterEvaluationServiceHandler, gaugedv1.RegisterHistoryServiceHandler, gaugedv1.RegisterHealthServiceHandler,
		gaugedv1.RegisterStudyServiceHandler, gaugedv1.RegisterAccessServiceHandler, gaugedv1.RegisterServerServiceHandler, gaugedv1.RegisterExitServiceHandler,
	} {
		if err := register(context.Background(), mux, conn); err != nil {
			return nil, err
		}
	}
	return mux, nil
}
