package server

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/getkin/kin-openapi/routers/gorillamux"

	"gauged/api"
	"gauged/internal/access"
	"gauged/internal/server/web"
)

// overHTTP is a server's calls over HTTP, whose answers are held against the document.
type overHTTP struct {
	t        testing.TB
	url      string
	client   *http.Client
	document *openapi3.T
	routes   routers.Router
}

// serveHTTP serves the calls of a server over HTTP until the test ends.
func serveHTTP(t testing.TB, s *Server, guard *access.Guard) *overHTTP {
	t.Helper()
	calls, err := web.NewServer(web.Options{Inside: s.Inside, Guard: guard, Log: (&logText{}).logger()})
	if err != nil {
		t.Fatal(err)
	}
	at := httptest.NewUnstartedServer(nil)
	at.Config = calls.Server
	at.Start()
	t.Cleanup(func() {
		at.CloseClientConnections()
		at.Close()
		if err := calls.Shutdown(context.Background()); err != nil {
			t.Error(err)
		}
	})
	h := &overHTTP{t: t, url: at.URL, client: at.Client()}
	h.document, h.routes = documentOf(t)
	return h
}

// documentOf is the document that is served, read by a library that is not ours.
func documentOf(t testing.TB) (*openapi3.T, routers.Router) {
	t.Helper()
	d, err := openapi3.NewLoader().LoadFromData(api.OpenAPI)
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Validate(t.Context()); err != nil {
		t.Fatal(err)
	}
	d.Servers = nil
	routes, err := gorillamux.NewRouter(d)
	if err != nil {
		t.Fatal(err)
	}
	return d, routes
}

// answer is what came back.
type answer struct {
	status int
	header http.Header
	body   string
}

// into reads an answer's JSON.
func (a answer) into(t testing.TB, v any) {
	t.Helper()
	if err := json.Unmarshal([]byte(a.body), v); err != nil {
		t.Fatalf("%v in %s", err, a.body)
	}
}

// ask sends a request; headers are "Name: value".
func (h *overHTTP) ask(method, path, body string, headers ...string) answer {
	h.t.Helper()
	r, err := http.NewRequestWithContext(h.t.Context(), method, h.url+path, strings.NewReader(body))
	if err != nil {
		h.t.Fatal(err)
	}
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	for _, line := range headers {
		name, value, _ := strings.Cut(line, ": ")
		r.Header.Set(name, value)
	}
	got, err := h.client.Do(r)
	if err != nil {
		h.t.Fatal(err)
	}
	defer func() { _ = got.Body.Close() }()
	content, err := io.ReadAll(got.Body)
	if err != nil {
		h.t.Fatal(err)
	}
	a := answer{got.StatusCode, got.Header, string(content)}
	h.documented(r, a)
	return a
}

// documented holds an answer against the document, where that has the path.
func (h *overHTTP) documented(r *http.Request, a answer) {
	h.t.Helper()
	path := r.Clone(r.Context())
	path.URL.Scheme, path.URL.Host = "", ""
	route, params, err := h.routes.FindRoute(path)
	if err != nil || a.status == http.StatusNotModified {
		return
	}
	checked := &openapi3filter.ResponseValidationInput{
		RequestValidationInput: &openapi3filter.RequestValidationInput{Request: path, PathParams: params, Route: route},
		Status:                 a.status, Header: a.header, Body: io.NopCloser(bytes.NewReader([]byte(a.body))),
	}
	if err := openapi3filter.ValidateResponse(h.t.Context(), checked); err != nil {
		h.t.Errorf("%s %s: the answer is not as the document says: %v", r.Method, r.URL.Path, err)
	}
}
