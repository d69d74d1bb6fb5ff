package access

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/netip"
	"net/url"
	"testing"
)

// TestProxied: host and scheme are those that a named proxy says, and of nobody else.
func TestProxied(t *testing.T) {
	rules := Rules{Proxies: []netip.Prefix{netip.MustParsePrefix("192.0.2.7/32"), netip.MustParsePrefix("2001:db8::/64")}}
	seen := ""
	handler := rules.Proxied(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		seen = fmt.Sprint(r.Host, " ", Confidential(r), " ", len(r.Header))
	}))
	for _, c := range []struct {
		from   string
		header http.Header
		want   string
	}{
		{"192.0.2.7:4711", http.Header{"X-Forwarded-Host": {"bench.example"}, "X-Forwarded-Proto": {"https"}}, "bench.example true 0"},
		{"192.0.2.7:4711", http.Header{"Forwarded": {`for=198.51.100.1;host="bench.example";proto=https`}}, "bench.example true 0"},
		{"192.0.2.7:4711", http.Header{"Forwarded": {"host=evil.example;proto=https, host=bench.example;proto=http"}}, "bench.example false 0"},
		{"192.0.2.7:4711", http.Header{"X-Forwarded-Host": {"evil.example", "bench.example"}, "X-Forwarded-Proto": {"https, http"}}, "bench.example false 0"},
		{"192.0.2.7:4711", http.Header{}, "inside false 0"},
		{"[2001:db8::5]:4711", http.Header{"X-Forwarded-Host": {"bench.example"}, "X-Forwarded-Proto": {"https"}}, "bench.example true 0"},
		{"192.0.2.8:4711", http.Header{"X-Forwarded-Host": {"bench.example"}, "X-Forwarded-Proto": {"https"}, "Forwarded": {"host=bench.example;proto=https"}}, "inside false 0"},
		{"127.0.0.1:4711", http.Header{"X-Forwarded-Proto": {"https"}}, "inside false 0"},
	} {
		r := httptest.NewRequest(http.MethodGet, "http://inside/", nil)
		r.RemoteAddr, r.Header = c.from, c.header
		handler.ServeHTTP(httptest.NewRecorder(), r)
		if seen != c.want {
			t.Errorf("%s %v: %s, want %s", c.from, c.header, seen, c.want)
		}
	}
}

// TestBehindAProxy: a proxy with TLS in front, which another wrote, is named, and the
// daemon knows under which host it is reached.
func TestBehindAProxy(t *testing.T) {
	rules := Rules{Proxies: []netip.Prefix{netip.MustParsePrefix("127.0.0.1/32")}}
	var seen string
	inside := httptest.NewServer(rules.Proxied(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		seen = fmt.Sprint(r.Host, " ", Confidential(r))
	})))
	defer inside.Close()
	to, err := url.Parse(inside.URL)
	if err != nil {
		t.Fatal(err)
	}
	proxy := httptest.NewTLSServer(&httputil.ReverseProxy{Rewrite: func(r *httputil.ProxyRequest) {
		r.SetURL(to)
		r.SetXForwarded()
	}})
	defer proxy.Close()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, proxy.URL, nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("X-Forwarded-Host", "evil.example")
	answer, err := proxy.Client().Do(r)
	if err != nil {
		t.Fatal(err)
	}
	_ = answer.Body.Close()
	if want := r.URL.Host + " true"; seen != want {
		t.Errorf("%s, want %s", seen, want)
	}
}
