package access

import "net/http"

// Bodies that are longer than shortBody take several times their length while they are
// read, so that only LongBodies of them are in work at once.
const (
	shortBody  = 64 << 10
	LongBodies = 4
)

// FewLongBodies returns a handler that lets in only a few of the requests with long bodies
// at once; the others wait.
func FewLongBodies(next http.Handler) http.Handler {
	places := make(chan struct{}, LongBodies)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.ContentLength < 0 || r.ContentLength > shortBody {
			select {
			case places <- struct{}{}:
				defer func() { <-places }()
			case <-r.Context().Done():
				return
			}
		}
		next.ServeHTTP(w, r)
	})
}
