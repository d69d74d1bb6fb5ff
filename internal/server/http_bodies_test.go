package server

import (
	"bufio"
	"fmt"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"gauged/internal/access"
)

// halfSent sends the head of a request with a long body, and nothing of that.
func (h *overHTTP) halfSent(path, secret string) *bufio.Reader {
	h.t.Helper()
	conn, err := net.Dial("tcp", strings.TrimPrefix(h.url, "http://"))
	if err != nil {
		h.t.Fatal(err)
	}
	h.t.Cleanup(func() { _ = conn.Close() })
	_, err = fmt.Fprintf(conn, "POST %s HTTP/1.1\r\nHost: localhost\r\nAuthorization: Bearer %s\r\nContent-Type: application/json\r\nContent-Length: 4000000\r\n\r\n", path, secret)
	if err != nil {
		h.t.Fatal(err)
	}
	return bufio.NewReader(conn)
}

// TestBodyIsReadForWhoMay: who may not make a call is refused before its body is read.
func TestBodyIsReadForWhoMay(t *testing.T) {
	r := newClosedRig(t, access.Rules{})
	h := serveHTTP(t, r.closed, &access.Guard{Register: r.Register, Now: time.Now})
	_, secret := r.token(access.RoleReader)
	got, err := http.ReadResponse(h.halfSent("/v1/readings", secret), nil)
	if err != nil {
		t.Fatal(err)
	}
	_ = got.Body.Close()
	if got.StatusCode != http.StatusForbidden {
		t.Errorf("answered with %d", got.StatusCode)
	}
}

// TestLongBodiesAreFewAtOnce: more long bodies that are half sent than are read at once
// keep nobody from short ones.
func TestLongBodiesAreFewAtOnce(t *testing.T) {
	r := newClosedRig(t, access.Rules{})
	h := serveHTTP(t, r.closed, &access.Guard{Register: r.Register, Now: time.Now})
	_, secret := r.token(access.RoleStation)
	for range 20 {
		h.halfSent("/v1/readings", secret)
	}
	if a := h.ask("POST", "/v1/readings", `{"source": "press-station"}`, "Authorization: Bearer "+secret); a.status != http.StatusOK {
		t.Errorf("%d %s", a.status, a.body)
	}
}

// TestNamesWithASlash: a person whose name has a slash is found by it.
func TestNamesWithASlash(t *testing.T) {
	r := newRig(t)
	h := serveHTTP(t, r.server, anyone)
	for _, step := range []struct{ method, path, body string }{
		{"POST", "/v1/access/people", `{"name": "Cy/Dee", "role": "ROLE_READER", "pin": "84736251"}`},
		{"PATCH", "/v1/access/people", `{"name": "Cy/Dee", "role": "ROLE_TECHNICIAN"}`},
		{"DELETE", "/v1/access/people?name=Cy%2FDee", ""},
	} {
		if a := h.ask(step.method, step.path, step.body); a.status != http.StatusOK {
			t.Errorf("%s %s: %d %s", step.method, step.path, a.status, a.body)
		}
	}
}
