package app

import (
	"context"
	"crypto/tls"
	"net"
	"strings"
	"time"
)

// ofTLS says what is wrong between a program that speaks TLS, or does not, and a daemon that
// does the other, and what to do; empty: that is not it.
func (d *Daemon) ofTLS(cause string) (said, remedy string) {
	switch {
	case strings.Contains(cause, "unknown authority"), strings.Contains(cause, "not trusted"):
		return "its certificate is of an authority that is not known here",
			"name the file of the authority with --ca or GAUGECTL_CA: with tls: {own: yes} it is tls/authority.pem beside the history"
	case strings.Contains(cause, "first record does not look like a TLS handshake"):
		return "it does not speak TLS, and this program was told to", "leave out --ca and --certificate"
	case strings.Contains(cause, "certificate is valid for"), strings.Contains(cause, "doesn't contain any IP SANs"):
		return cause, "use a name or address that its certificate has"
	case d.speaksTLS():
		return "it speaks TLS, and this program was not told so",
			"name the file of the authority of its certificate with --ca or GAUGECTL_CA: with tls: {own: yes} it is tls/authority.pem beside the history"
	}
	return "", ""
}

// speaksTLS reports whether a daemon to which this program spoke in the clear speaks TLS.
func (d *Daemon) speaksTLS() bool {
	if d.secured || strings.HasPrefix(d.Address, "unix://") {
		return false
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Second)
	defer cancel()
	// Nothing is sent: whose certificate it is does not matter here.
	dialer := tls.Dialer{NetDialer: &net.Dialer{}, Config: &tls.Config{InsecureSkipVerify: true, NextProtos: []string{"h2"}, MinVersion: tls.VersionTLS13}} //nolint:gosec // see above
	conn, err := dialer.DialContext(ctx, "tcp", d.Address)
	if err != nil {
		return false
	}
	_ = conn.Close()
	return true
}
