package cli

import (
	"crypto/tls"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"

	"gauged/internal/access"
	"gauged/internal/cli/app"
)

// TestTLSIsExplained: who names a daemon that speaks TLS without its authority, or an authority
// where the daemon does not speak TLS, is told so, and what to do.
func TestTLSIsExplained(t *testing.T) {
	at := func(listen func(net.Listener) net.Listener) string {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		s := grpc.NewServer()
		go func() { _ = s.Serve(listen(l)) }()
		t.Cleanup(s.Stop)
		return l.Addr().String()
	}
	dirs := []string{t.TempDir(), t.TempDir()}
	var secures []*access.Secure
	for _, dir := range dirs {
		secure, err := access.Secured(access.TLS{Own: true, Dir: dir}, time.Now, slog.New(slog.DiscardHandler))
		if err != nil {
			t.Fatal(err)
		}
		secures = append(secures, secure)
	}
	secured := at(func(l net.Listener) net.Listener { return tls.NewListener(l, secures[0].Config("h2")) })
	clear := at(func(l net.Listener) net.Listener { return l })
	for _, c := range []struct{ address, ca, want string }{
		{secured, "", "it speaks TLS, and this program was not told so; name the file of the authority of its certificate with --ca"},
		{secured, dirs[1], "its certificate is of an authority that is not known here; name the file of the authority with --ca"},
		{clear, dirs[0], "it does not speak TLS, and this program was told to; leave out --ca"},
	} {
		args := []string{"gauges"}
		if c.ca != "" {
			args = append(args, "--ca", filepath.Join(c.ca, "authority.pem"))
		}
		code, _, stderr := call(t, c.address, "", args...)
		if code != app.ExitUnreachable || !strings.Contains(stderr, c.want) {
			t.Errorf("%d: %s\nwant %s", code, stderr, c.want)
		}
	}
	if _, _, stderr := call(t, secured, "", "gauges", "--ca", filepath.Join(dirs[0], "authority.pem")); !strings.Contains(stderr, "does not know this call") {
		t.Errorf("with its authority: %s", stderr)
	}
}

// TestHeadBesideAnExport: the head of the history comes in a file beside a table, and the table
// is what it was; where the list goes on there is none yet.
func TestHeadBesideAnExport(t *testing.T) {
	f := newStation(closedJob())
	socket := filepath.Join(t.TempDir(), "s")
	defer serve(t, f, socket)()
	for _, digits := range []string{"0.100", "-0.250", "0.300"} {
		f.store(digits)
	}
	_, plain, _ := call(t, socket, "", "history", "readings", "--output", "csv")
	file := filepath.Join(t.TempDir(), "readings.head")
	code, with, stderr := call(t, socket, "", "history", "readings", "--output", "csv", "--head-file", file)
	content, err := os.ReadFile(file)
	if code != 0 || with != plain || err != nil || string(content) != "gauged-head-1 48213 2026-03-02T07:00:00Z bench-1 9f86d081884c7d65 00\n" {
		t.Errorf("%d %s: %q, %v", code, stderr, content, err)
	}
	code, _, stderr = call(t, socket, "", "history", "standings", "--head-file", file+"3")
	if content, err := os.ReadFile(file + "3"); code != 0 || err != nil || !strings.HasPrefix(string(content), "gauged-head-1 48213 ") {
		t.Errorf("standings: %d %s: %q, %v", code, stderr, content, err)
	}
	if code, _, stderr := call(t, socket, "", "history", "readings", "--page-size", "1", "--head-file", file+"2"); code != app.ExitUsage || !strings.Contains(stderr, "the list does not end with this page") {
		t.Errorf("%d %s", code, stderr)
	}
}
