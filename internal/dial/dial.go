// Package dial is how a program of ours comes in at a daemon: over a unix socket or this
// machine's loopback in the clear, and over TLS everywhere else, with a token or a
// certificate.
package dial

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"net"
	"strings"

	"gauged/internal/readfile"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/credentials/insecure"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/words"
)

// longestFile is how many bytes a token or a file of authorities may have.
const longestFile = 4 << 20

// Files are what a program shows and trusts.
type Files struct {
	Token            string // file with the secret of a token; empty: none is shown
	CA               string // file with the authorities of the daemon's certificate; empty: those of the system
	Certificate, Key string // files of the client certificate; empty: none is shown
}

// Given reports whether there is something to show, by which the program has a name there.
func (f Files) Given() bool { return f.Token != "" || f.Certificate != "" }

// Options are how gRPC comes in at an address, unix:///path, /path or host:port.
func (f Files) Options(address string) ([]grpc.DialOption, error) {
	options := []grpc.DialOption{grpc.WithTransportCredentials(insecure.NewCredentials())}
	if f.Secured(address) {
		config, err := f.config(address)
		if err != nil {
			return nil, err
		}
		options[0] = grpc.WithTransportCredentials(credentials.NewTLS(config))
	}
	if f.Token != "" {
		if _, err := f.secret(); err != nil {
			return nil, err
		}
		options = append(options, grpc.WithPerRPCCredentials(token{f, f.Secured(address)}))
	}
	return options, nil
}

// Split is the network and the place that an address names, unix:///path, /path or host:port.
func Split(address string) (network, place string, ok bool) {
	path := strings.TrimPrefix(address, "unix://")
	if strings.HasPrefix(path, "/") {
		return "unix", path, true
	}
	_, port, err := net.SplitHostPort(address)
	return "tcp", address, err == nil && port != "" && !strings.Contains(address, "/")
}

// Secured reports whether an address is spoken to over TLS: every one that is not this
// machine's, and that of a program that was given certificates.
func (f Files) Secured(address string) bool {
	if network, _, _ := Split(address); network == "unix" {
		return false
	}
	host, _, err := net.SplitHostPort(address)
	return err == nil && !access.ThisMachine(host) || f.CA != "" || f.Certificate != ""
}

func (f Files) config(address string) (*tls.Config, error) {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return nil, err
	}
	c := &tls.Config{MinVersion: tls.VersionTLS13, ServerName: host}
	if f.CA != "" {
		content, err := readfile.Whole(f.CA, longestFile)
		if err != nil {
			return nil, err
		}
		c.RootCAs = x509.NewCertPool()
		if !c.RootCAs.AppendCertsFromPEM(content) {
			return nil, gauge.Refused("station.certificate-none", gauge.Text("file", f.CA))
		}
	}
	switch {
	case f.Certificate != "" && f.Key != "":
		pair, err := tls.LoadX509KeyPair(f.Certificate, f.Key)
		if err != nil {
			return nil, gauge.At(err, "station.certificate-bad", gauge.Text("certificate", f.Certificate), gauge.Text("key", f.Key))
		}
		c.Certificates = []tls.Certificate{pair}
	case f.Certificate != "" || f.Key != "":
		return nil, gauge.WrongInput("station.certificate-alone")
	}
	return c, nil
}

// secret reads the token, at each call, so that a new one is taken without a restart.
func (f Files) secret() (string, error) {
	content, err := readfile.Whole(f.Token, longestFile)
	if err != nil {
		return "", gauge.At(err, "station.token")
	}
	secret := strings.TrimSpace(string(content))
	if secret == "" || strings.ContainsAny(secret, " \n\r\t") {
		return "", gauge.WrongInput("station.token-form", gauge.Text("file", f.Token))
	}
	return secret, nil
}

// token shows a token with each call.
type token struct {
	files   Files
	secured bool
}

// GetRequestMetadata gives what is shown.
func (t token) GetRequestMetadata(context.Context, ...string) (map[string]string, error) {
	secret, err := t.files.secret()
	if err != nil { // gRPC writes its text into a status
		return nil, gauge.Worded(words.In(words.English).Error(err), gauge.Told(err))
	}
	return map[string]string{"authorization": "Bearer " + secret}, nil
}

// RequireTransportSecurity is so beyond this machine.
func (t token) RequireTransportSecurity() bool { return t.secured }
