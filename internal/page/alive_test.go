package page

import (
	"errors"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/page/events"
	"gauged/internal/station"
)

// TestSignOfLife: where a gauge wakes a stream each time that it has rested, the stream gives
// its sign of life all the same, every time. Else the page says that the connection is lost.
func TestSignOfLife(t *testing.T) {
	r := newRig(t)
	to, asked := httptest.NewRecorder(), httptest.NewRequest("GET", "/stream", nil)
	s := events.New(writer{to}, asked)
	s.Rest = gaugesRest
	enough, shown := errors.New("enough"), 0
	states := []gauge.State{gauge.StateFailed, gauge.StateLive}
	err := r.page.follow(r.page.requested(asked), s, func() error {
		if shown == 8 {
			return enough
		}
		r.station.Report(station.Report{State: &gauge.StateChange{Gauge: "button", State: states[shown%2], Time: time.Now()}})
		shown++
		return nil
	})
	if !errors.Is(err, enough) {
		t.Fatal(err)
	}
	if alive := strings.Count(to.Body.String(), "event: alive"); alive != shown {
		t.Errorf("%d signs of life where it woke %d times", alive, shown)
	}
}

// writer has deadlines, as a connection has.
type writer struct{ *httptest.ResponseRecorder }

func (writer) SetWriteDeadline(time.Time) error { return nil }
