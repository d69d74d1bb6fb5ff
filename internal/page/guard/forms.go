package guard

import (
	"net/http"
)

// Bounds of what forms send: the bytes of one, and how many that are not short are in
// work at once.
const (
	mostForm  = 4 << 20 // a file of the largest size, each byte escaped
	shortForm = 64 << 10
	longForms = 4
)

// bounded refuses forms that are longer than any page sends, and lets only a few of the
// long ones in at once: each takes several times its length while it is read.
func bounded(next http.Handler) http.Handler {
	places := make(chan struct{}, longForms)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.ContentLength > mostForm {
			w.Header().Set("Connection", "close")
			http.Error(w, "the form is longer than any that this page sends: it has at most 4 MiB", http.StatusRequestEntityTooLarge)
			return
		}
		if r.Body != nil && r.Body != http.NoBody {
			r.Body = http.MaxBytesReader(w, r.Body, mostForm)
			if r.ContentLength < 0 || r.ContentLength > shortForm {
				select {
				case places <- struct{}{}:
					defer func() { <-places }()
				case <-r.Context().Done():
					return
				}
			}
		}
		next.ServeHTTP(w, r)
	})
}
