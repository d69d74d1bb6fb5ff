package guard

import (
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"gauged/internal/access"
)

// TestFormsAreBounded: a form that is too long is refused, whether its length is told or
// not, and of many long ones only a few are in work at once.
func TestFormsAreBounded(t *testing.T) {
	var inWork, most atomic.Int64
	s := httptest.NewServer(Guarded(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		now := inWork.Add(1)
		defer inWork.Add(-1)
		for before := most.Load(); now > before && !most.CompareAndSwap(before, now); before = most.Load() {
		}
		if err := r.ParseForm(); err != nil {
			http.Error(w, err.Error(), http.StatusRequestEntityTooLarge)
		}
	})))
	defer s.Close()
	send := func(length int, told bool) int {
		var body io.Reader = strings.NewReader("text=" + strings.Repeat("x", length))
		if !told {
			body = io.MultiReader(body)
		}
		answer, err := http.Post(s.URL, "application/x-www-form-urlencoded", body)
		if err != nil {
			t.Error(err)
			return 0
		}
		defer answer.Body.Close()
		return answer.StatusCode
	}
	for _, c := range []struct {
		length int
		told   bool
		want   int
	}{
		{100, true, http.StatusOK},
		{mostForm / 2, true, http.StatusOK},
		{mostForm / 2, false, http.StatusOK},
		{mostForm + 1, true, http.StatusRequestEntityTooLarge},
		{mostForm + 1, false, http.StatusRequestEntityTooLarge},
	} {
		if got := send(c.length, c.told); got != c.want {
			t.Errorf("%d bytes, told %v: %d, want %d", c.length, c.told, got, c.want)
		}
	}
	most.Store(0)
	var sending sync.WaitGroup
	for range 5 * access.LongBodies {
		sending.Go(func() { send(mostForm/2, true) })
	}
	sending.Wait()
	if n := most.Load(); n > access.LongBodies || n == 0 {
		t.Errorf("%d long forms were in work at once", n)
	}
}
