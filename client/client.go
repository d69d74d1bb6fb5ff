// Package client is how a Go program works with a gauged: readings in, and readings, jobs and
// verdicts out. It goes on by itself after the network was cut or the daemon was started
// again, in mid-stream, and loses and doubles nothing.
//
// A call that is not a stream is made with the generated stubs of the contract:
//
//	c, err := client.Dial("unix:///run/gauged/gauged.sock", client.Options{})
//	...
//	jobs := gaugedv1.NewJobServiceClient(c.Conn())
//
// Readings go in with [Client.Feed]. They come out with [Client.WatchReadings], what happens
// in jobs, verdicts among it, with [Client.WatchJobs]. Each event has its [Place]: kept with
// what was made of the event, it leads a program that was killed to the next one.
//
// Errors are those of gRPC. [RefusalOf] has the reason of a refusal, as the contract lists it.
package client

import (
	"cmp"
	"context"
	"fmt"
	"net"
	"sync/atomic"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/backoff"
	"google.golang.org/grpc/keepalive"

	"gauged/internal/dial"
	"gauged/internal/gauge"
	"gauged/internal/retry"
	"gauged/internal/words"
)

// Options are what a program shows the daemon, and how it bears that it is away. The zero
// value is right for a unix socket of this machine.
type Options struct {
	// TokenFile has the secret of a token. It is read at each call, so that a new token is
	// taken without a restart. Empty: none is shown.
	TokenFile string
	// Authority is the file with the authorities of the daemon's certificate; empty: those
	// of the system. With it, and beyond this machine always, TLS is spoken.
	Authority string
	// Certificate and Key are the files of the program's own certificate, if it has one.
	Certificate, Key string
	// First and Longest are the pauses between attempts to come back, which double from
	// the one to the other. 0: 250 ms and 15 s.
	First, Longest time.Duration
	// Dial is what gRPC is told besides.
	Dial []grpc.DialOption
}

// Client is a connection to a daemon, made with the first call, and made again when it was
// lost. It is safe for use by several goroutines.
type Client struct {
	conn   *grpc.ClientConn
	pauses retry.Pauses
	failed atomic.Pointer[error]
}

// watchedAhead is how many bytes of a stream are taken before the program asks for them. Then
// the daemon waits, with a place in its history and no queue.
const watchedAhead = 1 << 20

// Dial prepares a connection to the daemon at an address: unix:///path, /path or host:port.
// What is wrong with the address or the files of the options is an error; whether somebody
// is there, the first call tells.
func Dial(address string, o Options) (*Client, error) {
	network, at, ok := dial.Split(address)
	if !ok {
		return nil, fmt.Errorf("%q is not an address: use unix:///path, /path or host:port", address)
	}
	files := dial.Files{Token: o.TokenFile, CA: o.Authority, Certificate: o.Certificate, Key: o.Key}
	options, err := files.Options(address)
	if err != nil {
		return nil, gauge.Worded(words.In(words.English).Error(err), gauge.Told(err))
	}
	c := &Client{pauses: retry.Pauses{First: cmp.Or(o.First, 250*time.Millisecond), Longest: cmp.Or(o.Longest, 15*time.Second)}}
	options = append(
		options,
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return c.reach(ctx, network, at) }),
		grpc.WithConnectParams(grpc.ConnectParams{
			Backoff:           backoff.Config{BaseDelay: c.pauses.First, Multiplier: 2, MaxDelay: c.pauses.Longest},
			MinConnectTimeout: 5 * time.Second,
		}),
		grpc.WithStaticStreamWindowSize(watchedAhead),
		grpc.WithChainUnaryInterceptor(repeating),
	)
	if network == "tcp" {
		// A unix socket breaks at once when its daemon goes; a network may just fall silent.
		options = append(options, grpc.WithKeepaliveParams(keepalive.ClientParameters{Time: 30 * time.Second, Timeout: 10 * time.Second}))
	}
	if c.conn, err = grpc.NewClient("passthrough:///gauged", append(options, o.Dial...)...); err != nil {
		return nil, fmt.Errorf("preparing the connection to %s: %w", address, err)
	}
	return c, nil
}

func (c *Client) reach(ctx context.Context, network, address string) (net.Conn, error) {
	conn, err := new(net.Dialer).DialContext(ctx, network, address)
	if err != nil {
		c.failed.Store(&err)
		return nil, err
	}
	c.failed.Store(nil)
	return conn, nil
}

// Conn is the connection, for the generated stubs. A call that stores gets a request_id where
// it has none. When its answer is lost it is made again under that id: nothing is stored twice.
func (c *Client) Conn() *grpc.ClientConn { return c.conn }

// LastFailure is why the last attempt to reach the address failed; nil when it went well.
func (c *Client) LastFailure() error {
	if failed := c.failed.Load(); failed != nil {
		return *failed
	}
	return nil
}

// Close ends the connection, and every call and stream on it.
func (c *Client) Close() error { return c.conn.Close() }
