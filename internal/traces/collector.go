package traces

import (
	"context"
	"crypto/tls"
	"net"
	"net/url"
	"strings"
	"syscall"

	"go.opentelemetry.io/otel/exporters/otlp/otlptrace/otlptracegrpc"
	sdk "go.opentelemetry.io/otel/sdk/trace"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials"

	"gauged/internal/access"
	"gauged/internal/gauge"
)

// Collector is where traces go, as the station's file has it. Its zero value is none.
type Collector struct {
	URL   string // http:// on this machine, https:// anywhere; its port is 4317 where none is named
	CA    []byte // authorities of the collector's certificate, in PEM; nil: those of the system
	Token string // by which the collector knows the station; empty: by none
}

// Given reports whether there is a collector.
func (c Collector) Given() bool { return c.URL != "" }

// LongestToken is the most bytes of a token's file.
const LongestToken = 4 << 10

// usualPort is that of OTLP over gRPC (OpenTelemetry Protocol 1.11, "OTLP/gRPC Default Port").
const usualPort = "4317"

// CheckURL refuses what cannot be the address of a collector: what leaves this machine is https.
func CheckURL(address string) error {
	u, err := url.Parse(address)
	switch {
	case err != nil || u.Hostname() == "" || u.Scheme != "http" && u.Scheme != "https",
		u.User != nil, strings.Trim(u.Path, "/") != "", u.RawQuery != "", u.Fragment != "":
		return gauge.WrongInput("station.traces-url", gauge.Text("url", address))
	case u.Scheme == "http" && !access.ThisMachine(u.Hostname()):
		return inTheClear(u.Host)
	}
	return nil
}

func inTheClear(host string) error {
	return gauge.WrongInput("station.hook-url-clear", gauge.Text("host", host))
}

// exporter sends spans to the collector.
func (c Collector) exporter(ctx context.Context) (sdk.SpanExporter, error) {
	u, err := url.Parse(c.URL)
	if err != nil {
		return nil, err
	}
	port := u.Port()
	if port == "" {
		port = usualPort
	}
	options := []otlptracegrpc.Option{otlptracegrpc.WithEndpoint(net.JoinHostPort(u.Hostname(), port))}
	dialer := &net.Dialer{}
	if u.Scheme == "http" {
		dialer.ControlContext = func(_ context.Context, network, address string, conn syscall.RawConn) error {
			return access.LoopbackAlone(inTheClear)(network, address, conn)
		}
		options = append(options, otlptracegrpc.WithInsecure())
	} else {
		options = append(options, otlptracegrpc.WithTLSCredentials(credentials.NewTLS(access.OutgoingTLS(c.CA, tls.VersionTLS13))))
	}
	if c.Token != "" {
		options = append(options, otlptracegrpc.WithHeaders(map[string]string{"authorization": "Bearer " + c.Token}))
	}
	dial := grpc.WithContextDialer(func(ctx context.Context, address string) (net.Conn, error) {
		return dialer.DialContext(ctx, "tcp", address)
	})
	return otlptracegrpc.New(ctx, append(options, otlptracegrpc.WithDialOption(dial, grpc.WithNoProxy()))...)
}
