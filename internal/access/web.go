package access

import (
	"net"
	"net/http"
	"strings"

	"gauged/internal/gauge"
)

// OtherHost is told to who asks for another host than the station's.
const OtherHost = "this is not served under that name: without TLS for this machine alone, under localhost or its loopback address; with TLS under the names of the certificate, and those under access: names: in the configuration"

// Web returns a handler that lets in who may go the way of a route of mux; refused hears of
// others, by whom they are known, and answers them.
func (g *Guard) Web(mux *http.ServeMux, way func(pattern string) Way, refused func(w http.ResponseWriter, subject string, w2 Way, err error)) http.Handler {
	return g.Foreigners(plainly, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		_, pattern := mux.Handler(r)
		if pattern == "" || strings.Contains(pattern, " ") && !strings.HasPrefix(pattern, r.Method+" ") && r.Method != http.MethodHead {
			mux.ServeHTTP(w, r) // says that there is no such page or method
			return
		}
		if need, ok := Needs(way(pattern)); ok && need.Right == RightAnyones {
			mux.ServeHTTP(w, r)
			return
		}
		caller, err := g.OfRequest(r)
		if err == nil {
			err = caller.Allow(way(pattern))
		}
		if err != nil {
			refused(w, Subject(caller, r.RemoteAddr), way(pattern), err)
			return
		}
		mux.ServeHTTP(w, r.WithContext(With(r.Context(), caller)))
	}))
}

// Foreigners returns a handler that refuses what a page of another site sends, or a page in
// the clear to one over TLS, and what comes under a host that is not the station's. answer
// says so to who sent it.
func (g *Guard) Foreigners(answer func(w http.ResponseWriter, r *http.Request, status int, text string), next http.Handler) http.Handler {
	crossing := http.NewCrossOriginProtection()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("X-Content-Type-Options", "nosniff")
		w.Header().Set("Cache-Control", "no-store")
		if !OwnHost(r) {
			answer(w, r, http.StatusMisdirectedRequest, OtherHost)
			return
		}
		if site := r.Header.Get("Sec-Fetch-Site"); site == "cross-site" || site == "same-site" || InTheClear(r) || crossing.Check(asChange(r)) != nil {
			answer(w, r, http.StatusForbidden, "a request from another site was refused")
			return
		}
		next.ServeHTTP(w, r)
	})
}

// asChange is a request whose origin is looked at, whatever its method is.
func asChange(r *http.Request) *http.Request {
	if r.Header.Get("Origin") == "" {
		return r
	}
	change := *r
	change.Method = http.MethodPost
	return &change
}

// plainly answers with a line of text.
func plainly(w http.ResponseWriter, _ *http.Request, status int, text string) {
	http.Error(w, text, status)
}

// OfRequest finds out which program sends a request: by a token, or by its certificate.
func (g *Guard) OfRequest(r *http.Request) (Caller, error) {
	if g.Open() {
		return Nobody(), nil
	}
	if shown := r.Header.Values("Authorization"); len(shown) > 0 {
		return g.Shown(shown)
	}
	if r.TLS != nil && len(r.TLS.PeerCertificates) > 0 {
		return g.Certificate(r.TLS.PeerCertificates[0])
	}
	return Caller{}, gauge.UnknownCaller("refusal.access.nobody")
}

// Shown returns who calls with what a request shows as its authorization: one token.
func (g *Guard) Shown(authorization []string) (Caller, error) {
	scheme, secret, _ := strings.Cut(authorization[0], " ")
	if len(authorization) > 1 || !strings.EqualFold(scheme, "Bearer") {
		return Caller{}, gauge.UnknownCaller("refusal.access.scheme")
	}
	return g.token(strings.TrimSpace(secret))
}

// Subject is under what a refusal of a caller is kept: their name, or the address from
// which nobody known called; of an IPv6 address the network.
func Subject(c Caller, remote string) string {
	if c.Name != "" {
		return c.Name
	}
	host, _, err := net.SplitHostPort(remote)
	if err != nil {
		host = remote
	}
	ip := net.ParseIP(host)
	switch {
	case ip == nil:
		return "this machine"
	case ip.To4() == nil:
		return ip.Mask(net.CIDRMask(64, 128)).String() + "/64"
	}
	return ip.String()
}
