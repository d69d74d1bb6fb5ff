package access

import (
	"bytes"
	"crypto"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"errors"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gauged/internal/words"
)

// web serves HTTP with certificates of an own authority and answers with the name that
// the guard finds in the client's certificate.
func web(t *testing.T, s *Secure, g *Guard) (address string) {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	server := &http.Server{ReadHeaderTimeout: time.Second, ErrorLog: slog.NewLogLogger(slog.DiscardHandler, 0), Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if len(r.TLS.PeerCertificates) == 0 {
			_, _ = io.WriteString(w, "nobody\n")
			return
		}
		c, err := g.Certificate(r.TLS.PeerCertificates[0])
		if err != nil {
			http.Error(w, err.Error(), http.StatusForbidden)
			return
		}
		_, _ = io.WriteString(w, c.Name+" "+c.Role.String()+"\n")
	})}
	go func() { _ = server.Serve(tls.NewListener(l, s.Config("http/1.1"))) }()
	t.Cleanup(func() { _ = server.Close() })
	return l.Addr().String()
}

// client makes a client certificate in a directory, signed by the authority of another.
func client(t *testing.T, authority, dir, name string) (certificate, key string) {
	t.Helper()
	by, err := tls.LoadX509KeyPair(ownFile(authority, "authority.pem"), ownFile(authority, "authority.key"))
	if err != nil {
		t.Fatal(err)
	}
	err = issue(dir, name, &x509.Certificate{
		Subject: pkix.Name{CommonName: name}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageClientAuth},
	}, by.Leaf, by.PrivateKey.(crypto.Signer))
	if err != nil {
		t.Fatal(err)
	}
	return filepath.Join(dir, name+".pem"), filepath.Join(dir, name+".key")
}

// run runs a program that others wrote, and gives what it wrote.
func run(t *testing.T, name string, args ...string) (string, error) {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		t.Skipf("this machine has no %s", name)
	}
	cmd := exec.CommandContext(t.Context(), name, args...)
	cmd.Stdin = strings.NewReader("")
	out, err := cmd.CombinedOutput()
	return string(out), err
}

// TestForeignClientsOverTLS: curl and openssl, which others wrote, come in over TLS 1.3
// when they trust the own authority, with a client certificate under its name, and not
// over TLS 1.2, not without trust, and not with a certificate of another authority.
func TestForeignClientsOverTLS(t *testing.T) {
	dir, other := t.TempDir(), t.TempDir()
	s, err := Secured(TLS{Own: true, Dir: dir, Names: []string{"bench.example"}, Clients: ownFile(dir, "authority.pem")}, time.Now, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := renewOwn(other, nil, time.Now()); err != nil {
		t.Fatal(err)
	}
	at := web(t, s, &Guard{Rules: Rules{Certificates: map[string]Grant{"press": {Role: RoleStation}}}})
	ca := ownFile(dir, "authority.pem")
	certificate, key := client(t, dir, t.TempDir(), "press")
	unnamed, unnamedKey := client(t, dir, t.TempDir(), "lathe")
	strange, strangeKey := client(t, other, t.TempDir(), "press")
	curl := func(args ...string) (string, error) {
		return run(t, "curl", append([]string{"-sS", "--fail-with-body", "--max-time", "20"}, append(args, "https://"+at)...)...)
	}
	for name, c := range map[string]struct {
		args []string
		want string
	}{
		"no certificate":   {[]string{"--cacert", ca}, "nobody"},
		"press":            {[]string{"--cacert", ca, "--cert", certificate, "--key", key}, "press station"},
		"a name of nobody": {[]string{"--cacert", ca, "--cert", unnamed, "--key", unnamedKey}, "refusal.access.certificate"},
	} {
		if out, _ := curl(c.args...); !strings.Contains(out, c.want) {
			t.Errorf("%s: %s", name, out)
		}
	}
	for name, args := range map[string][]string{
		"TLS 1.2":           {"--cacert", ca, "--tls-max", "1.2"},
		"no trust":          {},
		"another authority": {"--cacert", ca, "--cert", strange, "--key", strangeKey},
	} {
		if out, err := curl(args...); err == nil || strings.Contains(out, "nobody") || strings.Contains(out, "press") && !strings.Contains(out, "curl:") {
			t.Errorf("%s came in: %s", name, out)
		}
	}
	if out, err := run(t, "openssl", "s_client", "-connect", at, "-CAfile", ca, "-verify_return_error", "-tls1_3"); err != nil || !strings.Contains(out, "TLSv1.3") || !strings.Contains(out, "Verify return code: 0 (ok)") {
		t.Errorf("openssl over TLS 1.3: %v\n%s", err, out)
	}
	if out, err := run(t, "openssl", "s_client", "-connect", at, "-CAfile", ca, "-tls1_2"); err == nil {
		t.Errorf("openssl over TLS 1.2 came in:\n%s", out)
	}
}

// TestCertificatesAreReadAgain: a changed pair is taken at the next connection; a bad one
// leaves the good one, and the log says so.
func TestCertificatesAreReadAgain(t *testing.T) {
	dir := t.TempDir()
	if _, err := renewOwn(dir, nil, time.Now()); err != nil {
		t.Fatal(err)
	}
	var log bytes.Buffer
	s, err := Secured(TLS{Certificate: ownFile(dir, "server.pem"), Key: ownFile(dir, "server.key")}, time.Now, slog.New(slog.NewTextHandler(&log, nil)))
	if err != nil {
		t.Fatal(err)
	}
	first, _ := s.current()
	good, err := os.ReadFile(ownFile(dir, "server.pem"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(ownFile(dir, "server.pem"), []byte("half"), 0o644); err != nil {
		t.Fatal(err)
	}
	if now, _ := s.current(); !bytes.Equal(now.Certificate[0], first.Certificate[0]) || strings.Count(log.String(), "those of before go on") != 1 {
		t.Errorf("with a bad pair: %s", log.String())
	}
	if _, _ = s.current(); strings.Count(log.String(), "those of before go on") != 1 {
		t.Errorf("it is said again and again: %s", log.String())
	}
	if err := os.WriteFile(ownFile(dir, "server.pem"), append(good, '\n'), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := renewOwn(dir, []string{"new.localhost"}, time.Now()); err != nil {
		t.Fatal(err)
	}
	if now, _ := s.current(); now.Leaf.VerifyHostname("new.localhost") != nil || !strings.Contains(log.String(), "read again") {
		t.Errorf("after a good pair: %v, %s", now.Leaf.DNSNames, log.String())
	}
}

// TestOwnAuthority: it is made once and stays; the certificate below it is made anew before
// it ends and when a name is added; keys are the daemon's alone; a lost key is an error.
func TestOwnAuthority(t *testing.T) {
	dir, now := filepath.Join(t.TempDir(), "tls"), time.Now()
	leaf := func(names ...string) *x509.Certificate {
		t.Helper()
		if _, err := renewOwn(dir, names, now); err != nil {
			t.Fatal(err)
		}
		pair, err := tls.LoadX509KeyPair(ownFile(dir, "server.pem"), ownFile(dir, "server.key"))
		if err != nil {
			t.Fatal(err)
		}
		return pair.Leaf
	}
	first, authority := leaf(), readFile(t, ownFile(dir, "authority.pem"))
	if again := leaf(); again.SerialNumber.Cmp(first.SerialNumber) != 0 {
		t.Error("it was made anew without need")
	}
	now = now.Add(serverLife - renewBefore + time.Hour)
	renewed := leaf()
	if renewed.SerialNumber.Cmp(first.SerialNumber) == 0 || !renewed.NotAfter.After(now.Add(renewBefore)) {
		t.Errorf("it ends %v", renewed.NotAfter)
	}
	if named := leaf("bench.localhost"); named.VerifyHostname("bench.localhost") != nil {
		t.Errorf("it is for %v %v", named.DNSNames, named.IPAddresses)
	}
	if readFile(t, ownFile(dir, "authority.pem")) != authority {
		t.Error("the authority was made anew")
	}
	for _, name := range []string{"authority.key", "server.key"} {
		if info, err := os.Stat(ownFile(dir, name)); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v, %v", name, info.Mode(), err)
		}
	}
	now = now.Add(serverLife)
	if err := os.WriteFile(ownFile(dir, "authority.key"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := renewOwn(dir, nil, now); err == nil || !strings.Contains(words.In(words.English).Error(err), "put it back from a copy") {
		t.Errorf("a lost key: %v", err)
	}
}

func readFile(t *testing.T, path string) string {
	t.Helper()
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(content)
}

// TestListenBeyondThisMachine: only with TLS.
func TestListenBeyondThisMachine(t *testing.T) {
	doors := NewConnections(0, slog.New(slog.DiscardHandler))
	if _, err := doors.Listen("0.0.0.0:0", nil); err == nil || !strings.Contains(words.In(words.English).Error(err), "in the clear") {
		t.Errorf("without: %v", err)
	}
	if l, err := doors.Listen("127.0.0.1:0", nil); err != nil {
		t.Error(err)
	} else if err := l.Close(); err != nil {
		t.Error(err)
	}
	s, err := Secured(TLS{Own: true, Dir: t.TempDir()}, time.Now, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	l, err := doors.Listen("0.0.0.0:0", s, "h2")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = l.Close() }()
	ended := make(chan error, 1)
	go func() {
		conn, err := l.Accept()
		if err == nil {
			_, err = conn.Read(make([]byte, 1))
			err = errors.Join(err, conn.Close())
		}
		ended <- err
	}()
	conn, err := net.Dial("tcp", "127.0.0.1:"+strings.TrimPrefix(l.Addr().String(), "[::]:"))
	if err != nil {
		t.Fatal(err)
	}
	_, _ = io.WriteString(conn, "GET / HTTP/1.1\r\n\r\n")
	if err := <-ended; err == nil || !strings.Contains(err.Error(), "tls") {
		t.Errorf("in the clear: %v", err)
	}
	_ = conn.Close()
}
