package page

import (
	"net"
	"net/http"
	"runtime/debug"

	"gauged/internal/access"
)

// policy allows the page's own scripts, styles, pictures and streams, and
// nothing from elsewhere or inline. Pictures may be data, which SVG charts and
// drawings inside a procedure are.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// guarded sets the headers that keep others out, and refuses forms that
// another site sends and requests for a name that is not this machine's: a page
// of another site could have its own name lead here.
func guarded(next http.Handler) http.Handler {
	crossing := http.NewCrossOriginProtection()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		if !loopback(r.Host) {
			http.Error(w, "this page is served for this machine alone, under localhost or its loopback address", http.StatusMisdirectedRequest)
			return
		}
		if err := crossing.Check(r); err != nil {
			http.Error(w, "a form of another site was refused", http.StatusForbidden)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// catching logs a fault of the daemon and answers it, where else the connection
// would end without a word.
func (p *Page) catching(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			if fault := recover(); fault != nil && fault != http.ErrAbortHandler {
				p.o.Log.Error("a page panicked; this is a fault of the daemon", "page", r.URL.Path, "panic", fault, "stack", string(debug.Stack()))
				http.Error(w, "a fault of the daemon; its log says more", http.StatusInternalServerError)
			}
		}()
		next.ServeHTTP(w, r)
	})
}

// loopback reports whether a Host header names this machine's loopback.
func loopback(host string) bool {
	name, _, err := net.SplitHostPort(host)
	if err != nil {
		name = host
	}
	return access.ThisMachine(name)
}
