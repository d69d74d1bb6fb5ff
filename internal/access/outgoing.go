package access

import (
	"crypto/tls"
	"crypto/x509"
)

// OutgoingTLS is how the station meets another program over TLS of a version or newer: who
// vouches for that one stands in PEM; nil: whom the system trusts.
func OutgoingTLS(authorities []byte, least uint16) *tls.Config {
	c := &tls.Config{MinVersion: least}
	if authorities != nil {
		c.RootCAs = x509.NewCertPool()
		c.RootCAs.AppendCertsFromPEM(authorities)
	}
	return c
}
