package access

import (
	"context"
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"
)

type securedKey struct{}

// Proxied returns a handler that takes the word of named proxies on the host and the scheme
// of a request, as Forwarded (RFC 7239) or as X-Forwarded-Host and X-Forwarded-Proto, and
// of nobody else.
func (r Rules) Proxied(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		host, scheme := forwarded(q.Header)
		passed := q.Clone(q.Context())
		for _, name := range []string{"Forwarded", "X-Forwarded-Host", "X-Forwarded-Proto", "X-Forwarded-For"} {
			passed.Header.Del(name)
		}
		if r.isProxy(q.RemoteAddr) {
			if host != "" {
				passed.Host = host
			}
			passed = passed.WithContext(context.WithValue(passed.Context(), securedKey{}, scheme == "https"))
		}
		next.ServeHTTP(w, passed)
	})
}

// Confidential reports whether nobody on the way could read a request: it came over TLS
// to the daemon, or to a named proxy in front of it.
func Confidential(q *http.Request) bool {
	secured, _ := q.Context().Value(securedKey{}).(bool)
	return q.TLS != nil || secured
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
