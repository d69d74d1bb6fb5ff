package access

import (
	"crypto"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"log/slog"
	"net"
	"os"
	"strings"
	"testing"
	"time"
)

// TestOwnAuthorityVouchesForTheStationAlone: with its key nobody can be another site, nor an
// address, a mailbox or a URI, for openssl and for Go; the station itself can.
func TestOwnAuthorityVouchesForTheStationAlone(t *testing.T) {
	dir := t.TempDir()
	if _, err := Secured(TLS{Own: true, Dir: dir, Names: []string{"bench.example", "192.0.2.7"}}, time.Now, slog.New(slog.DiscardHandler)); err != nil {
		t.Fatal(err)
	}
	by, err := tls.LoadX509KeyPair(ownFile(dir, "authority.pem"), ownFile(dir, "authority.key"))
	if err != nil {
		t.Fatal(err)
	}
	roots := x509.NewCertPool()
	roots.AddCert(by.Leaf)
	forged := t.TempDir()
	for name, c := range map[string]struct {
		leaf x509.Certificate
		good bool
	}{
		"station":        {x509.Certificate{DNSNames: []string{"bench.example", "localhost"}, IPAddresses: []net.IP{{192, 0, 2, 7}, {127, 0, 0, 1}, net.IPv6loopback}}, true},
		"other-site":     {x509.Certificate{DNSNames: []string{"bank.example"}}, false},
		"both":           {x509.Certificate{DNSNames: []string{"bench.example", "bank.example"}}, false},
		"longer":         {x509.Certificate{DNSNames: []string{"notbench.example"}}, false},
		"other-address":  {x509.Certificate{IPAddresses: []net.IP{{192, 0, 2, 8}}}, false},
		"other-address6": {x509.Certificate{IPAddresses: []net.IP{net.ParseIP("2001:db8::1")}}, false},
		"mailbox":        {x509.Certificate{EmailAddresses: []string{"ada@bench.example"}}, false},
	} {
		template := c.leaf
		template.Subject = pkix.Name{CommonName: "somebody"}
		template.NotBefore, template.NotAfter = time.Now().Add(-time.Hour), time.Now().Add(time.Hour)
		template.ExtKeyUsage = []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}
		if err := issue(forged, name, &template, by.Leaf, by.PrivateKey.(crypto.Signer)); err != nil {
			t.Fatal(err)
		}
		out, err := run(t, "openssl", "verify", "-purpose", "sslserver", "-CAfile", ownFile(dir, "authority.pem"), ownFile(forged, name+".pem"))
		if (err == nil) != c.good || !c.good && !strings.Contains(out, "permitted subtree violation") {
			t.Errorf("%s: openssl: %v\n%s", name, err, out)
		}
		leaf, err := tls.LoadX509KeyPair(ownFile(forged, name+".pem"), ownFile(forged, name+".key"))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := leaf.Leaf.Verify(x509.VerifyOptions{Roots: roots}); (err == nil) != c.good {
			t.Errorf("%s: Go: %v", name, err)
		}
	}
	if out, err := run(t, "openssl", "verify", "-purpose", "sslserver", "-CAfile", ownFile(dir, "authority.pem"), ownFile(dir, "server.pem")); err != nil {
		t.Errorf("the station's own: %v\n%s", err, out)
	}
}

// TestNewNamesNeedANewAuthority: names that devices do not trust the authority for are
// refused with what to do, and names that they do are taken; one without limits, or whose key
// is gone, is not made anew behind their backs.
func TestNewNamesNeedANewAuthority(t *testing.T) {
	dir, now := t.TempDir(), time.Now()
	start := func(names ...string) string {
		_, err := Secured(TLS{Own: true, Dir: dir, Names: names}, func() time.Time { return now }, slog.New(slog.DiscardHandler))
		if err == nil {
			return ""
		}
		return err.Error()
	}
	if err := start("bench.example", "192.0.2.7"); err != "" {
		t.Fatal(err)
	}
	authority := readFile(t, ownFile(dir, "authority.pem"))
	for _, names := range [][]string{{"bench.example"}, {"Bench.example", "east.bench.example"}, {}} {
		if err := start(names...); err != "" {
			t.Errorf("%v: %s", names, err)
		}
	}
	for _, name := range []string{"other.example", "192.0.2.8"} {
		if err := start("bench.example", name); !strings.Contains(err, "station.own-authority-narrow") {
			t.Errorf("%s: %q", name, err)
		}
	}
	if err := os.Rename(ownFile(dir, "authority.key"), ownFile(dir, "elsewhere")); err != nil {
		t.Fatal(err)
	}
	if err := start("bench.example"); err != "" {
		t.Errorf("the certificate holds, its authority's key is elsewhere: %q", err)
	}
	if err := start("west.bench.example"); !strings.Contains(err, "station.own-authority-bad") {
		t.Errorf("without its key: %q", err)
	}
	if readFile(t, ownFile(dir, "authority.pem")) != authority {
		t.Error("the authority was made anew")
	}
	wide := &x509.Certificate{
		Subject: pkix.Name{CommonName: "wide"}, NotBefore: now.Add(-time.Hour), NotAfter: now.Add(time.Hour),
		IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign,
	}
	if err := issue(dir, "authority", wide, nil, nil); err != nil {
		t.Fatal(err)
	}
	if err := start("bench.example"); !strings.Contains(err, "station.own-authority-wide") {
		t.Errorf("without limits: %q", err)
	}
}
