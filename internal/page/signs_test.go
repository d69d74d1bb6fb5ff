package page

import (
	"net/http/httptest"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/station"
)

// TestUnitsAsPeopleReadThem: messages on a page write a unit as people read it, and not as it
// is typed, whether a handler or a template tells them.
func TestUnitsAsPeopleReadThem(t *testing.T) {
	r := newRig(t)
	said := gauge.Say("asked.value", gauge.Text("name", "error"), gauge.Shown("value", "8.5", gauge.Micrometre))
	for language, want := range map[string]string{"en": "8.5 µm", "de": "8,5 µm"} {
		request := httptest.NewRequest("GET", "/", nil)
		request.Header.Set("Accept-Language", language)
		w := r.page.requested(request).words
		r.shows(200, w.Tell(said), want)
		state, err := r.page.region(w.Language(), "gauges", "state", gaugeLine{GaugeStatus: station.GaugeStatus{State: gauge.StateFailed, Reason: said}})
		if err != nil {
			t.Fatal(err)
		}
		r.shows(200, state, want)
	}
}
