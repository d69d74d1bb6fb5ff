package metrics

import (
	"bytes"
	"crypto/tls"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/prometheus/client_golang/prometheus"

	"gauged/internal/access"
)

// closed is the web server of metrics with tokens of each role.
func closed(t *testing.T) (web *http.Server, secrets map[access.Role]string) {
	t.Helper()
	secrets = map[access.Role]string{}
	register := access.Register{}
	for r := access.RoleReader; r <= access.RoleAdministrator; r++ {
		id, secret := access.NewSecret("gauged-token")
		secrets[r] = secret
		token := access.Token{ID: id, Name: "p-" + r.String(), Role: r, Hash: access.HashOf(secret), Expires: time.Now().Add(time.Hour)}
		facts, err := access.MakeToken("root", token)(register, time.Now())
		if err != nil {
			t.Fatal(err)
		}
		if register, err = register.With(facts[0]); err != nil {
			t.Fatal(err)
		}
	}
	guard := &access.Guard{Register: func() access.Register { return register }, Now: time.Now}
	return NewWeb(newRig(t).Metrics, guard, quiet), secrets
}

// TestEveryRouteForEveryRole: each route that is served is in the table, and does what it
// says for each role and for nobody; no answer has a secret in it.
func TestEveryRouteForEveryRole(t *testing.T) {
	web, secrets := closed(t)
	mux, asked := routes(prometheus.NewRegistry(), nil), 0
	for _, way := range access.Ways(access.PlaceMetrics) {
		method, path, _ := strings.Cut(way.Name, " ")
		path = strings.TrimSuffix(path, "{$}")
		if _, pattern := mux.Handler(httptest.NewRequest(method, path, nil)); pattern != way.Name {
			t.Errorf("the table has %s, which is not served: %q is", way.Name, pattern)
		}
		need, _ := access.Needs(way)
		for role := access.RoleNone; role <= access.RoleAdministrator; role++ {
			asked++
			r := httptest.NewRequest(method, "http://127.0.0.1"+path, nil)
			want := http.StatusOK
			if role != access.RoleNone {
				r.Header.Set("Authorization", "Bearer "+secrets[role])
			}
			if !role.Has(need.Right) {
				want = http.StatusUnauthorized
			}
			w := httptest.NewRecorder()
			web.Handler.ServeHTTP(w, r)
			if w.Code != want {
				t.Errorf("%s as %q: %d, want %d", way.Name, role, w.Code, want)
			}
			for _, secret := range secrets {
				if strings.Contains(w.Body.String(), secret) || strings.Contains(w.Body.String(), access.HashOf(secret)) {
					t.Errorf("%s tells a secret", way.Name)
				}
			}
		}
	}
	t.Logf("%d asked, 0 open by mistake", asked)
	if asked < 18 {
		t.Errorf("only %d were asked", asked)
	}
}

// TestForeignPages: a page of another site gets nothing, under a name of its own that
// leads here or from within a browser.
func TestForeignPages(t *testing.T) {
	web, secrets := closed(t)
	for name, change := range map[string]func(*http.Request){
		"its own name":   func(r *http.Request) { r.Host = "shop.example:9412" },
		"a fetch":        func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") },
		"a wrong token":  func(r *http.Request) { r.Header.Set("Authorization", "Bearer x") },
		"two tokens":     func(r *http.Request) { r.Header.Add("Authorization", "Bearer x") },
		"another scheme": func(r *http.Request) { r.Header.Set("Authorization", "Basic "+secrets[access.RoleReader]) },
		"no token":       func(r *http.Request) { r.Header.Del("Authorization") },
		"secret as cookie": func(r *http.Request) {
			r.Header.Set("Cookie", "token="+r.Header.Get("Authorization"))
			r.Header.Del("Authorization")
		},
	} {
		r := httptest.NewRequest(http.MethodGet, "http://127.0.0.1/metrics", nil)
		r.Header.Set("Authorization", "Bearer "+secrets[access.RoleReader])
		change(r)
		w := httptest.NewRecorder()
		if web.Handler.ServeHTTP(w, r); w.Code < 400 || strings.Contains(w.Body.String(), "gauged_") {
			t.Errorf("%s: %d", name, w.Code)
		}
	}
}

// TestCurlReadsMetrics: a foreign client reads the metrics over TLS with a token, as a
// Prometheus on another machine does, and not without.
func TestCurlReadsMetrics(t *testing.T) {
	if _, err := exec.LookPath("curl"); err != nil {
		t.Skip("this machine has no curl")
	}
	web, secrets := closed(t)
	dir := t.TempDir()
	secure, err := access.Secured(access.TLS{Own: true, Dir: dir}, time.Now, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	go func() { _ = web.Serve(tls.NewListener(l, secure.Config("http/1.1"))) }()
	t.Cleanup(func() { _ = web.Close() })
	curl := func(header string) string {
		cmd := exec.CommandContext(t.Context(), "curl", "-sS", "--max-time", "20", "--cacert", filepath.Join(dir, "authority.pem"), "-H", "@-", "https://"+l.Addr().String()+"/metrics")
		cmd.Stdin = io.NopCloser(strings.NewReader(header))
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Errorf("curl: %v\n%s", err, out)
		}
		return string(out)
	}
	if out := curl("Authorization: Bearer " + secrets[access.RoleReader]); !strings.Contains(out, "gauged_") {
		t.Errorf("with a token:\n%s", out)
	}
	if out := curl("X-Nothing: 1"); strings.Contains(out, "gauged_") || !strings.Contains(out, "it is not known who calls") {
		t.Errorf("without:\n%s", out)
	}
}

// TestErrorsOfConnectionsAreThinned: connections that come to nothing do not fill the log.
func TestErrorsOfConnectionsAreThinned(t *testing.T) {
	var out bytes.Buffer
	web := NewWeb(newRig(t).Metrics, &access.Guard{}, slog.New(slog.NewTextHandler(&out, nil)))
	for range 1000 {
		web.ErrorLog.Print("http: TLS handshake error from 192.0.2.7: EOF")
	}
	if n := strings.Count(out.String(), "TLS handshake error"); n == 0 || n > 60 { // where a minute ends meanwhile
		t.Errorf("%d lines of 1000", n)
	}
}
