package app

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/backoff"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/connectivity"
	"google.golang.org/grpc/keepalive"
	"google.golang.org/grpc/status"

	pb "gauged/api/gauged/v1"
	"gauged/internal/dial"
	"gauged/internal/wire"
	"gauged/internal/words"
)

// SystemSocket is where the daemon of the machine listens.
const SystemSocket = "unix:///run/gauged/gauged.sock"

// Daemon is the connection to gauged, which is made with the first call.
type Daemon struct {
	conn     *grpc.ClientConn
	Address  string
	Timeout  time.Duration // of one call
	retry    Waits
	lastDial atomic.Pointer[error] // nil when the last attempt to connect went well
	secured  bool                  // over TLS

	Gauges     pb.GaugeServiceClient
	Procedures pb.ProcedureServiceClient
	Jobs       pb.JobServiceClient
	History    pb.HistoryServiceClient
	Health     pb.HealthServiceClient
	Studies    pb.StudyServiceClient
	Server     pb.ServerServiceClient
	Access     pb.AccessServiceClient
	Exits      pb.ExitServiceClient
}

// daemonAddress returns the address to use: the flag, the environment, the
// user's own daemon when its socket is there, the system's.
func (a *App) daemonAddress() string {
	if a.Address != "" {
		return a.Address
	}
	if address := a.Getenv("GAUGECTL_ADDRESS"); address != "" {
		return address
	}
	if dir := a.Getenv("XDG_RUNTIME_DIR"); dir != "" {
		socket := filepath.Join(dir, "gauged", "gauged.sock")
		if _, err := os.Stat(socket); err == nil {
			return "unix://" + socket
		}
	}
	return SystemSocket
}

// files are what is shown to the daemon: the flags, else the environment.
func (a *App) files() dial.Files {
	return dial.Files{
		Token: cmp.Or(a.Files.Token, a.Getenv("GAUGECTL_TOKEN_FILE")), CA: cmp.Or(a.Files.CA, a.Getenv("GAUGECTL_CA")),
		Certificate: cmp.Or(a.Files.Certificate, a.Getenv("GAUGECTL_CERTIFICATE")), Key: cmp.Or(a.Files.Key, a.Getenv("GAUGECTL_KEY")),
	}
}

// splitAddress returns the network and the address to dial.
func splitAddress(address string) (network, dial string, err error) {
	path := strings.TrimPrefix(address, "unix://")
	if strings.HasPrefix(path, "/") {
		return "unix", path, nil
	}
	_, port, splitErr := net.SplitHostPort(address)
	if splitErr != nil || port == "" || strings.Contains(address, "/") {
		return "", "", Usagef("%q is not an address: use unix:///path, /path or host:port", address)
	}
	return "tcp", address, nil
}

func (a *App) connect() (*Daemon, error) {
	d := &Daemon{Address: a.daemonAddress(), Timeout: a.Timeout, retry: a.Retry}
	network, address, err := splitAddress(d.Address)
	if err != nil {
		return nil, err
	}
	if network == "unix" {
		d.Address = "unix://" + address
	}
	dialer := func(ctx context.Context, _ string) (net.Conn, error) {
		conn, err := new(net.Dialer).DialContext(ctx, network, address)
		if err != nil {
			d.lastDial.Store(&err)
			return nil, err
		}
		d.lastDial.Store(nil)
		return conn, nil
	}
	d.secured = a.files().Secured(d.Address)
	options, err := a.files().Options(d.Address)
	if err != nil {
		return nil, err
	}
	options = append(
		options, grpc.WithContextDialer(dialer),
		grpc.WithConnectParams(grpc.ConnectParams{
			Backoff:           backoff.Config{BaseDelay: d.retry.First, Multiplier: 2, MaxDelay: d.retry.Longest},
			MinConnectTimeout: 5 * time.Second,
		}),
	)
	options = append(options, grpc.WithChainUnaryInterceptor(repeating))
	if a.Output != OutputJSON {
		options = append(options, grpc.WithChainUnaryInterceptor(cleaning), grpc.WithChainStreamInterceptor(cleaningStream))
	}
	if network == "tcp" {
		// A unix socket breaks at once when its daemon goes; a network may just fall silent.
		options = append(options, grpc.WithKeepaliveParams(keepalive.ClientParameters{Time: 30 * time.Second, Timeout: 10 * time.Second}))
	}
	if d.conn, err = grpc.NewClient("passthrough:///gauged", options...); err != nil {
		return nil, fmt.Errorf("preparing the connection to %s: %w", d.Address, err)
	}
	d.Gauges = pb.NewGaugeServiceClient(d.conn)
	d.Procedures = pb.NewProcedureServiceClient(d.conn)
	d.Jobs = pb.NewJobServiceClient(d.conn)
	d.History = pb.NewHistoryServiceClient(d.conn)
	d.Health = pb.NewHealthServiceClient(d.conn)
	d.Studies = pb.NewStudyServiceClient(d.conn)
	d.Server = pb.NewServerServiceClient(d.conn)
	d.Access = pb.NewAccessServiceClient(d.conn)
	d.Exits = pb.NewExitServiceClient(d.conn)
	return d, nil
}

func (d *Daemon) close() { _ = d.conn.Close() }

// Ask makes one call within the daemon's timeout and explains its failure.
func Ask[Request, Response any](ctx context.Context, d *Daemon,
	call func(context.Context, Request, ...grpc.CallOption) (Response, error), request Request,
) (Response, error) {
	ctx, cancel := context.WithTimeout(ctx, d.Timeout)
	defer cancel()
	response, err := call(ctx, request)
	return response, d.Explain(err)
}

// UnreachableError says which address was tried, why it failed and what to do.
type UnreachableError struct {
	address string
	cause   string
	remedy  string
}

// Error says where the daemon was looked for, why it did not answer, and what to do.
func (e *UnreachableError) Error() string {
	return fmt.Sprintf("the daemon is not reachable at %s: %s; %s, or name another address with --address or GAUGECTL_ADDRESS",
		e.address, e.cause, e.remedy)
}

// Explain turns the error of a call into what a person can act upon. Errors
// that are no answers of a call pass through.
func (d *Daemon) Explain(err error) error {
	answer, ok := status.FromError(err)
	if !ok || err == nil {
		return err
	}
	switch answer.Code() {
	case codes.Unavailable:
		return d.unreachable(sentence(answer))
	case codes.DeadlineExceeded:
		if d.conn.GetState() != connectivity.Ready {
			return d.unreachable(fmt.Sprintf("no answer within %v", d.Timeout))
		}
		return fmt.Errorf("the daemon at %s did not answer within %v: try again, or wait longer with --timeout", d.Address, d.Timeout)
	case codes.Canceled:
		return context.Canceled
	case codes.Unimplemented:
		return fmt.Errorf("the daemon at %s does not know this call: it is older than this gaugectl", d.Address)
	case codes.ResourceExhausted:
		if strings.HasPrefix(answer.Message(), "grpc:") { // what no part of the daemon has said
			return errors.New("the request or its answer is too large for one message: do it in parts")
		}
		return errors.New(sentence(answer))
	default:
		return errors.New(sentence(answer))
	}
}

// sentence is what a refusal says: in this program's words where it knows the code, in
// those of the daemon else.
func sentence(answer *status.Status) string {
	if m, ok := wire.RefusalOf(answer); ok {
		if text, err := words.In(words.English).Text(m); err == nil {
			return text
		}
	}
	return answer.Message()
}

func (d *Daemon) unreachable(cause string) *UnreachableError {
	e := &UnreachableError{address: d.Address, cause: cause, remedy: "start it with `gauged --config FILE`"}
	failed := d.lastDial.Load()
	if failed == nil {
		if said, remedy := d.ofTLS(cause); said != "" {
			e.cause, e.remedy = said, remedy
		}
		return e
	}
	e.cause = (*failed).Error()
	switch {
	case errors.Is(*failed, fs.ErrNotExist):
		e.cause = "there is no such socket"
	case errors.Is(*failed, fs.ErrPermission):
		e.cause = "this user may not use the socket"
		e.remedy = "join the group that owns the socket"
	case errors.Is(*failed, syscall.ECONNREFUSED):
		e.cause = "nothing listens there"
	}
	return e
}
