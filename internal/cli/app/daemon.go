package app

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/connectivity"
	"google.golang.org/grpc/status"

	pb "gauged/api/gauged/v1"
	"gauged/client"
	"gauged/internal/dial"
	"gauged/internal/wire"
	"gauged/internal/words"
)

// SystemSocket is where the daemon of the machine listens.
const SystemSocket = "unix:///run/gauged/gauged.sock"

// Daemon is the connection to gauged, which is made with the first call.
type Daemon struct {
	*client.Client
	Address string
	Timeout time.Duration // of one call
	secured bool          // over TLS

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

func (a *App) connect() (*Daemon, error) {
	d := &Daemon{Address: a.daemonAddress(), Timeout: a.Timeout}
	network, place, ok := dial.Split(d.Address)
	if !ok {
		return nil, Usagef("%q is not an address: use unix:///path, /path or host:port", d.Address)
	}
	if network == "unix" {
		d.Address = "unix://" + place
	}
	files := a.files()
	d.secured = files.Secured(d.Address)
	options := client.Options{
		TokenFile: files.Token, Authority: files.CA, Certificate: files.Certificate, Key: files.Key,
		First: a.Retry.First, Longest: a.Retry.Longest,
	}
	if a.Output != OutputJSON {
		options.Dial = []grpc.DialOption{grpc.WithChainUnaryInterceptor(cleaning), grpc.WithChainStreamInterceptor(cleaningStream)}
	}
	var err error
	if d.Client, err = client.Dial(d.Address, options); err != nil {
		return nil, err
	}
	conn := d.Conn()
	d.Gauges = pb.NewGaugeServiceClient(conn)
	d.Procedures = pb.NewProcedureServiceClient(conn)
	d.Jobs = pb.NewJobServiceClient(conn)
	d.History = pb.NewHistoryServiceClient(conn)
	d.Health = pb.NewHealthServiceClient(conn)
	d.Studies = pb.NewStudyServiceClient(conn)
	d.Server = pb.NewServerServiceClient(conn)
	d.Access = pb.NewAccessServiceClient(conn)
	d.Exits = pb.NewExitServiceClient(conn)
	return d, nil
}

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
		if d.Conn().GetState() != connectivity.Ready {
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
	failed := d.LastFailure()
	if failed == nil {
		if said, remedy := d.ofTLS(cause); said != "" {
			e.cause, e.remedy = said, remedy
		}
		return e
	}
	e.cause = failed.Error()
	switch {
	case errors.Is(failed, fs.ErrNotExist):
		e.cause = "there is no such socket"
	case errors.Is(failed, fs.ErrPermission):
		e.cause = "this user may not use the socket"
		e.remedy = "join the group that owns the socket"
	case errors.Is(failed, syscall.ECONNREFUSED):
		e.cause = "nothing listens there"
	}
	return e
}
