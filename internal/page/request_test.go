package page

import (
	"bytes"
	"context"
	"errors"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// TestFailureOfOneWhoLeft: what fails because the browser has gone is no error of
// the page; what fails for one who waits is told and logged.
func TestFailureOfOneWhoLeft(t *testing.T) {
	for _, left := range []bool{false, true} {
		var log bytes.Buffer
		p, err := New(Options{Log: slog.New(slog.NewTextHandler(&log, nil))})
		if err != nil {
			t.Fatal(err)
		}
		ctx, leave := context.WithCancel(t.Context())
		if left {
			leave()
		}
		w := httptest.NewRecorder()
		p.handle(func(http.ResponseWriter, *request) error { return errors.New("reading the disk") }).
			ServeHTTP(w, httptest.NewRequestWithContext(ctx, http.MethodGet, "/gauges/dial", nil))
		leave()
		if strings.Contains(log.String(), "reading the disk") == left || (w.Code == http.StatusInternalServerError) == left {
			t.Errorf("left %t: %d, the log has %q", left, w.Code, log.String())
		}
	}
}
