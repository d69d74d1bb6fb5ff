package assets

import (
	"bytes"
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"testing"
)

// TestAssetsAreLightOnTheWire: who takes gzip gets the style with less than half its bytes and
// nothing else in it; who does not gets it as it is.
func TestAssetsAreLightOnTheWire(t *testing.T) {
	a, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	plain := a.content["job.css"].plain
	for accepted, small := range map[string]bool{
		"gzip, deflate, br": true, "br;q=1.0, GZIP; q=0.5": true, "": false, "br": false, "gzip;q=0": false, "gzip; q=0.000, br": false,
	} {
		r := httptest.NewRequest(http.MethodGet, a.Path("job.css"), nil)
		r.Header.Set("Accept-Encoding", accepted)
		r.SetPathValue("name", "job.css")
		r.SetPathValue("version", a.version)
		w := httptest.NewRecorder()
		a.ServeHTTP(w, r)
		body := w.Body.Bytes()
		if got := w.Header().Get("Content-Encoding") == "gzip"; got != small || w.Header().Get("Vary") != "Accept-Encoding" || w.Header().Get("Content-Type") != "text/css; charset=utf-8" {
			t.Errorf("%q: %v", accepted, w.Header())
		}
		if small {
			if len(body) > len(plain)/2 {
				t.Errorf("%q: %d of %d bytes", accepted, len(body), len(plain))
			}
			z, err := gzip.NewReader(bytes.NewReader(body))
			if err == nil {
				body, err = io.ReadAll(z)
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		if !bytes.Equal(body, plain) {
			t.Errorf("%q: other content", accepted)
		}
	}
}
