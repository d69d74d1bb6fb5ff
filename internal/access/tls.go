package access

import (
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"os"
	"sync"
	"time"

	"gauged/internal/readfile"

	"gauged/internal/gauge"
)

// TLS is what the station's configuration says of certificates. Its zero value has none:
// then the daemon listens on this machine alone.
type TLS struct {
	Certificate, Key string   // files with the daemon's certificate and its key, in PEM
	Clients          string   // file with the authorities of client certificates; empty: none are asked for
	Own              bool     // certificates of an authority of the daemon's own
	Names            []string // names and addresses under which the daemon is reached, with Own
	Dir              string   // directory of the own authority
}

// Given reports whether there are certificates.
func (t TLS) Given() bool { return t.Own || t.Certificate != "" }

// Secure is the certificates as they are now. Files that changed are read again at the
// next connection; where they are bad, the good ones go on, and the log says so.
type Secure struct {
	files TLS
	now   func() time.Time
	log   *slog.Logger

	mu      sync.Mutex
	state   string // of the files, when they were last read
	pair    *tls.Certificate
	clients *x509.CertPool // nil: no client certificates are asked for

	authority *x509.Certificate // the own one; nil: certificates are given
}

// Secured reads certificates; an own authority is made when there is none yet.
func Secured(t TLS, now func() time.Time, log *slog.Logger) (*Secure, error) {
	var authority *x509.Certificate
	var err error
	if t.Own {
		t.Certificate, t.Key = ownFile(t.Dir, "server.pem"), ownFile(t.Dir, "server.key")
		if authority, err = renewOwn(t.Dir, t.Names, now()); err != nil {
			return nil, err
		}
	}
	s := &Secure{files: t, now: now, log: log, state: stateOf(t), authority: authority}
	s.pair, s.clients, err = t.read()
	return s, err
}

// longestPEM is how many bytes a file of authorities may have.
const longestPEM = 4 << 20

// read reads the files.
func (t TLS) read() (*tls.Certificate, *x509.CertPool, error) {
	pair, err := tls.LoadX509KeyPair(t.Certificate, t.Key)
	if err != nil {
		return nil, nil, gauge.At(err, "station.certificate-bad", gauge.Text("certificate", t.Certificate), gauge.Text("key", t.Key))
	}
	if t.Clients == "" {
		return &pair, nil, nil
	}
	content, err := readfile.Whole(t.Clients, longestPEM)
	if err != nil {
		return nil, nil, gauge.At(err, "station.authorities")
	}
	clients := x509.NewCertPool()
	if !clients.AppendCertsFromPEM(content) {
		return nil, nil, gauge.Refused("station.certificate-none", gauge.Text("file", t.Clients))
	}
	return &pair, clients, nil
}

// stateOf tells whether files have changed.
func stateOf(t TLS) (state string) {
	for _, path := range []string{t.Certificate, t.Key, t.Clients} {
		if info, err := os.Stat(path); err == nil {
			state += fmt.Sprintf("%d %d\n", info.ModTime().UnixNano(), info.Size())
		} else if path != "" && !errors.Is(err, fs.ErrNotExist) {
			state += err.Error() + "\n"
		}
	}
	return state
}

// current is the certificates, read again when their files have changed, and renewed when
// an own one is about to end.
func (s *Secure) current() (*tls.Certificate, *x509.CertPool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.files.Own {
		if authority, err := renewOwn(s.files.Dir, s.files.Names, s.now()); err == nil {
			s.authority = authority
		} else {
			s.log.Error("the own certificate could not be renewed", "err", err)
		}
	}
	if state := stateOf(s.files); state != s.state {
		s.state = state
		if pair, clients, err := s.files.read(); err != nil {
			s.log.Error("the changed certificates are bad; those of before go on", "err", err)
		} else {
			s.pair, s.clients = pair, clients
			s.log.Info("the certificates were read again", "certificate", s.files.Certificate)
		}
	}
	return s.pair, s.clients
}

// Names reports whether a host's name or address is one of the certificate.
func (s *Secure) Names(host string) bool {
	pair, _ := s.current()
	return pair.Leaf != nil && pair.Leaf.VerifyHostname(host) == nil
}

// Config is how a listener speaks TLS: 1.3 alone, the protocols that are served behind it,
// and client certificates where their authorities are given.
func (s *Secure) Config(protocols ...string) *tls.Config {
	return &tls.Config{
		MinVersion: tls.VersionTLS13,
		GetConfigForClient: func(*tls.ClientHelloInfo) (*tls.Config, error) {
			pair, clients := s.current()
			c := &tls.Config{MinVersion: tls.VersionTLS13, NextProtos: protocols, Certificates: []tls.Certificate{*pair}, Time: s.now}
			if clients != nil {
				c.ClientAuth, c.ClientCAs = tls.VerifyClientCertIfGiven, clients
			}
			return c, nil
		},
	}
}

// Listen listens on a TCP address: in the clear on this machine's loopback, with TLS on
// every other address, which is refused when s is nil.
func (c *Connections) Listen(address string, s *Secure, protocols ...string) (net.Listener, error) {
	if CheckLoopback(address) == nil {
		l, err := ListenLoopback(address)
		if err != nil {
			return nil, err
		}
		return c.At(l), nil
	}
	if err := CheckAddress(address, s != nil); err != nil {
		return nil, gauge.At(err, "station.listen-refused")
	}
	l, err := listenTCP(address)
	if err != nil {
		return nil, err
	}
	return tls.NewListener(c.At(l), s.Config(protocols...)), nil
}

// CheckAddress says why the daemon would not listen on a TCP address, host:port. Beyond
// this machine it listens with TLS alone.
func CheckAddress(address string, secure bool) error {
	host, err := hostOf(address)
	if err != nil || ThisMachine(host) || secure {
		return err
	}
	return gauge.WrongInput("station.address-in-the-clear", gauge.Text("address", address))
}
