package guard

import (
	"net/http"

	"gauged/internal/access"
)

// mostForm is the most bytes of a form: a file of the largest size, each byte escaped.
const mostForm = 4 << 20

// bounded refuses forms that are longer than any page sends, and lets only a few of the
// long ones in at once.
func bounded(next http.Handler) http.Handler {
	few := access.FewLongBodies(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.ContentLength > mostForm {
			w.Header().Set("Connection", "close")
			http.Error(w, "the form is longer than any that this page sends: it has at most 4 MiB", http.StatusRequestEntityTooLarge)
			return
		}
		if r.Body != nil && r.Body != http.NoBody {
			r.Body = http.MaxBytesReader(w, r.Body, mostForm)
		}
		few.ServeHTTP(w, r)
	})
}
