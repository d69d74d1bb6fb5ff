// Package guard keeps others out of the pages of a daemon: requests under another name
// than this machine's, forms of other sites, and whatever a page would load from elsewhere.
// It tidies the texts of forms, has one that is sent twice carried out once, and refuses
// one that comes late.
package guard

import (
	"net/http"

	"gauged/internal/access"
)

// Policy allows the page's own scripts, styles, pictures and streams, and
// nothing from elsewhere or inline. Pictures may be data, which SVG charts and
// drawings inside a procedure are.
const Policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// Guarded sets the headers that keep others out, and refuses forms that
// another site sends, or a page in the clear to one over TLS, and requests for a name that
// is not the station's: see access.OwnHost.
func Guarded(next http.Handler) http.Handler {
	next = bounded(next)
	crossing := http.NewCrossOriginProtection()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", Policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		if !access.OwnHost(r) {
			http.Error(w, access.OtherHost, http.StatusMisdirectedRequest)
			return
		}
		if access.InTheClear(r) || crossing.Check(r) != nil {
			http.Error(w, "a form of another site was refused", http.StatusForbidden)
			return
		}
		next.ServeHTTP(w, r)
	})
}
