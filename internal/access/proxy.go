package access

import (
	"context"
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"
)

type entranceKey struct{}

// entrance is what is known of how a request came in.
type entrance struct {
	secured bool // a proxy says that it came over TLS
	named   func(host string) bool
}

// Proxied returns a handler that takes the word of named proxies on the host and the scheme
// of a request, as Forwarded (RFC 7239) or as X-Forwarded-Host and X-Forwarded-Proto, and
// of nobody else. Behind it OwnHost knows the names of the station.
func (r Rules) Proxied(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		host, scheme := forwarded(q.Header)
		passed := q.Clone(q.Context())
		for _, name := range []string{"Forwarded", "X-Forwarded-Host", "X-Forwarded-Proto", "X-Forwarded-For"} {
			passed.Header.Del(name)
		}
		e := entrance{named: r.named}
		if r.isProxy(q.RemoteAddr) {
			if host != "" {
				passed.Host = host
			}
			e.secured = scheme == "https"
		}
		next.ServeHTTP(w, passed.WithContext(context.WithValue(passed.Context(), entranceKey{}, e)))
	})
}

// named reports whether a host's name or address is the station's: one of its certificate, or
// of the configuration.
func (r Rules) named(host string) bool {
	return slices.ContainsFunc(r.Names, func(name string) bool { return strings.EqualFold(name, host) }) || r.Certified != nil && r.Certified(host)
}

// OwnHost reports whether the host that a request names is the station's: this machine's
// loopback, or over TLS a name of its certificate or its configuration. A page of another
// site could have its own name lead here.
func OwnHost(q *http.Request) bool {
	if AsThisMachine(q) {
		return true
	}
	e, _ := q.Context().Value(entranceKey{}).(entrance)
	return Confidential(q) && e.named != nil && e.named(hostNamed(q))
}

// InTheClear reports whether a request that came over TLS was sent by a page that did not:
// whoever is on the way of that page writes what it sends.
func InTheClear(q *http.Request) bool {
	origin := q.Header.Get("Origin")
	return Confidential(q) && origin != "" && origin != "null" && !strings.HasPrefix(origin, "https://")
}

// Confidential reports whether nobody on the way could read a request: it came over TLS
// to the daemon, or to a named proxy in front of it.
func Confidential(q *http.Request) bool {
	e, _ := q.Context().Value(entranceKey{}).(entrance)
	return q.TLS != nil || e.secured
}

func (r Rules) isProxy(remote string) bool {
	host, _, err := net.SplitHostPort(remote)
	if err != nil {
		return false
	}
	at, err := netip.ParseAddr(host)
	return err == nil && slices.ContainsFunc(r.Proxies, func(p netip.Prefix) bool { return p.Contains(at.Unmap()) })
}

// forwarded is the host and the scheme that the nearest proxy says: the last of each.
func forwarded(h http.Header) (host, scheme string) {
	host, scheme = last(h.Values("X-Forwarded-Host")), last(h.Values("X-Forwarded-Proto"))
	for pair := range strings.SplitSeq(last(h.Values("Forwarded")), ";") {
		key, value, _ := strings.Cut(strings.TrimSpace(pair), "=")
		value = strings.Trim(value, `"`)
		switch strings.ToLower(key) {
		case "host":
			host = value
		case "proto":
			scheme = value
		}
	}
	return host, strings.ToLower(scheme)
}

func last(values []string) string {
	all := strings.Split(strings.Join(values, ","), ",")
	return strings.TrimSpace(all[len(all)-1])
}
