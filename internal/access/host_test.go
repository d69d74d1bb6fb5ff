package access

import (
	"crypto/tls"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"testing"
)

// TestOwnHost: a page is served under the station's own hosts alone: in the clear under those of
// this machine, over TLS besides under the names of its certificate and its configuration, also
// where a proxy in front speaks TLS. A form of a page in the clear does not come to one over TLS.
func TestOwnHost(t *testing.T) {
	rules := Rules{
		Proxies: []netip.Prefix{netip.MustParsePrefix("192.0.2.7/32")}, Names: []string{"shop.example"},
		Certified: func(host string) bool { return host == "bench.example" || host == "2001:db8::1" },
	}
	for _, c := range []struct {
		host            string
		tls, proxied    bool
		origin          string
		own, inTheClear bool
	}{
		{host: "localhost:7480", own: true},
		{host: "[::1]:7480", own: true},
		{host: "bench.example:7480"},
		{host: "evil.example"},
		{host: "localhost:7480", tls: true, own: true},
		{host: "bench.example:7480", tls: true, own: true},
		{host: "[2001:db8::1]:7480", tls: true, own: true},
		{host: "Shop.Example", tls: true, own: true},
		{host: "evil.example", tls: true},
		{host: "", tls: true},
		{host: "shop.example", proxied: true, own: true},
		{host: "evil.example", proxied: true},
		{host: "bench.example", tls: true, origin: "https://bench.example", own: true},
		{host: "bench.example", tls: true, origin: "http://bench.example", own: true, inTheClear: true},
		{host: "shop.example", proxied: true, origin: "http://shop.example", own: true, inTheClear: true},
		{host: "localhost:7480", origin: "http://localhost:7480", own: true},
	} {
		q := httptest.NewRequest("POST", "/", nil)
		q.Host, q.RemoteAddr = c.host, "192.0.2.9:1"
		if c.tls {
			q.TLS = &tls.ConnectionState{}
		}
		if c.origin != "" {
			q.Header.Set("Origin", c.origin)
		}
		if c.proxied {
			q.Host, q.RemoteAddr = "127.0.0.1:7480", "192.0.2.7:1"
			q.Header.Set("X-Forwarded-Host", c.host)
			q.Header.Set("X-Forwarded-Proto", "https")
		}
		rules.Proxied(http.HandlerFunc(func(_ http.ResponseWriter, q *http.Request) {
			if OwnHost(q) != c.own || InTheClear(q) != c.inTheClear {
				t.Errorf("%+v: own %v, in the clear %v", c, OwnHost(q), InTheClear(q))
			}
		})).ServeHTTP(httptest.NewRecorder(), q)
	}
}
