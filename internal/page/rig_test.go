package page

import (
	"bufio"
	"context"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/historytest"
	"gauged/internal/library"
	"gauged/internal/shelf"
	"gauged/internal/station"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// The procedure and the parts are invented for these tests.
const ringProcedure = `procedure: ring
title: Ring for <end> play
unit: mm
cautions:
  - Rings jump off. Wear goggles.
measure:
  depth: {title: Depth of the case, how: Flat on the face., instrument: depth gauge, repeats: 2, agree: 0.03, plausible: {min: 20, max: 30}}
  height: {title: Height of the boss}
gap: depth - height
allow: {play: {min: 0.10, max: 0.20}}
parts: rings
choose: {method: middle}
verify:
  measure: {end_play: {title: End play}}
  play: end_play
  predicted_within: 0.04
`

const ringParts = `family: rings
title: Rings
unit: mm
grades:
  - {part: R150, mark: "1", thickness: 1.50, stock: 4}
  - {part: R155, mark: "2", thickness: 1.55, stock: 0}
  - {part: R160, mark: "3", thickness: 1.6, stock: 2}
`

// rig is a station with a page in front of it.
type rig struct {
	*testing.T
	station *station.Station
	page    *Page
	dir     string // of the shop's files
	url     string
	client  *http.Client
}

// newRig runs a station until the test ends: a gauge with a button and an
// indicator that sends all the time. The options may be changed before.
func newRig(t *testing.T, change ...func(*station.Options)) *rig {
	t.Helper()
	return rigOf(t, ringProcedure, change...)
}

// rigOf is a rig with another procedure of that name.
func rigOf(t *testing.T, procedure string, change ...func(*station.Options)) *rig {
	t.Helper()
	return rigWith(t, procedure, nil, change...)
}

// rigWith is a rig whose page may be another one too.
func rigWith(t *testing.T, procedure string, page func(*Options), change ...func(*station.Options)) *rig {
	t.Helper()
	dir := t.TempDir()
	write(t, filepath.Join(dir, "ring.yaml"), procedure)
	write(t, filepath.Join(dir, "rings.yaml"), ringParts)
	read := func(context.Context) (*library.Library, error) { return readLibrary(t, dir) }
	library, err := read(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	micrometre := gauge.MustLength("0.001", gauge.Millimetre)
	store := historytest.Open(t)
	o := station.Options{
		Store: store, Library: library, Now: time.Now, Masters: map[string]check.Master{"zero": {ID: "zero"}},
		Gauges: []station.GaugeInfo{
			{ID: "button", Title: "Depth gauge", Mode: gauge.ModeButton, Unit: gauge.Millimetre, Resolution: micrometre},
			{ID: "line", Title: "Indicator", Mode: gauge.ModeStream, Unit: gauge.Millimetre, Resolution: micrometre, Fresh: time.Minute},
			{ID: "micrometer", Title: "Micrometer", Mode: gauge.ModeTyped, Unit: gauge.Millimetre, Resolution: micrometre},
		},
	}
	for _, f := range change {
		f(&o)
	}
	s, err := station.New(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() { s.Run(ctx) })
	s.Report(station.Report{State: &gauge.StateChange{Gauge: "button", State: gauge.StateLive, Time: time.Now()}})
	of := Options{Station: s, Files: shelf.New(s, read), Name: "bench <1>", Guard: &access.Guard{Rules: access.Rules{Open: true}}, Log: slog.New(noPanic{slog.DiscardHandler, t}), Now: time.Now}
	if page != nil {
		page(&of)
	}
	p, err := New(of)
	if err != nil {
		t.Fatal(err)
	}
	web := httptest.NewUnstartedServer(nil)
	web.Config = p.Server()
	web.Config.ReadTimeout = 500 * time.Millisecond // streams must outlive it
	web.Start()
	r := &rig{T: t, station: s, page: p, dir: dir, url: web.URL, client: web.Client()}
	r.client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	t.Cleanup(func() {
		shutdown, done := context.WithTimeout(context.Background(), 3*time.Second)
		defer done()
		if err := web.Config.Shutdown(shutdown); err != nil {
			t.Errorf("the page does not stop: %v", err)
		}
		web.Close()
		cancel()
		running.Wait()
	})
	return r
}

func write(t *testing.T, path, content string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(content), 0o644); err != nil {
		t.Fatal(err)
	}
}

func readLibrary(t *testing.T, dir string) (*library.Library, error) {
	t.Helper()
	file := func(name string) []library.Source {
		content, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		return []library.Source{{Path: filepath.Join(dir, name), Content: content}}
	}
	return library.New(context.Background().Err, file("ring.yaml"), file("rings.yaml"))
}

// get returns the status and the body of a page.
func (r *rig) get(path string, headers ...string) (int, string) {
	r.Helper()
	return r.do(http.MethodGet, path, nil, headers...)
}

// noPanic is a log that fails the test where a page panics: the browser may have its answer
// by then.
type noPanic struct {
	slog.Handler
	t *testing.T
}

func (noPanic) Enabled(context.Context, slog.Level) bool { return true }

func (n noPanic) Handle(_ context.Context, r slog.Record) error {
	r.Attrs(func(a slog.Attr) bool {
		if a.Key == "panic" {
			n.t.Errorf("%s: %v", r.Message, a.Value)
		}
		return true
	})
	return nil
}

// post sends a form.
func (r *rig) post(path string, form url.Values, headers ...string) (int, string) {
	r.Helper()
	return r.do(http.MethodPost, path, strings.NewReader(form.Encode()), append([]string{"Content-Type", "application/x-www-form-urlencoded"}, headers...)...)
}

func (r *rig) do(method, path string, body io.Reader, headers ...string) (int, string) {
	r.Helper()
	answer := r.send(method, path, body, headers...)
	defer answer.Body.Close()
	content, err := io.ReadAll(answer.Body)
	if err != nil {
		r.Fatal(err)
	}
	if to := answer.Header.Get("Location"); to != "" {
		return answer.StatusCode, to
	}
	return answer.StatusCode, string(content)
}

func (r *rig) send(method, path string, body io.Reader, headers ...string) *http.Response {
	r.Helper()
	q, err := http.NewRequestWithContext(r.Context(), method, r.url+path, body)
	if err != nil {
		r.Fatal(err)
	}
	for i := 0; i < len(headers); i += 2 {
		if headers[i] == "Host" {
			q.Host = headers[i+1]
		}
		q.Header.Set(headers[i], headers[i+1])
	}
	answer, err := r.client.Do(q)
	if err != nil {
		r.Fatal(err)
	}
	return answer
}

// event is one server-sent event.
type event struct{ id, name, data string }

// events follows a stream until the test ends.
func (r *rig) events(path string, headers ...string) <-chan event {
	r.Helper()
	answer := r.send(http.MethodGet, path, nil, headers...)
	if got := answer.Header.Get("Content-Type"); answer.StatusCode != http.StatusOK || got != "text/event-stream" {
		r.Fatalf("%d %s", answer.StatusCode, got)
	}
	events := make(chan event, 100)
	var reading sync.WaitGroup
	reading.Go(func() {
		defer close(events)
		var e event
		for lines := bufio.NewScanner(answer.Body); lines.Scan(); {
			field, value, _ := strings.Cut(lines.Text(), ": ")
			switch field {
			case "id":
				e.id = value
			case "event":
				e.name = value
			case "data":
				e.data = value
			case "":
				select {
				case events <- e:
				case <-r.Context().Done():
					return
				}
				e = event{}
			}
		}
	})
	r.Cleanup(func() {
		_ = answer.Body.Close()
		reading.Wait()
	})
	return events
}

// next returns the next event that want accepts, within five seconds.
func (r *rig) next(events <-chan event, want func(event) bool) event {
	r.Helper()
	deadline := time.After(5 * time.Second)
	for {
		select {
		case e, ok := <-events:
			if !ok {
				r.Fatal("the stream ended")
			}
			if want(e) {
				return e
			}
		case <-deadline:
			r.Fatal("no such event came")
		}
	}
}

// reads makes a gauge give a reading in millimetres.
func (r *rig) reads(id, shown string) {
	r.Helper()
	now := time.Now()
	if id == "line" {
		r.station.Report(station.Report{State: &gauge.StateChange{Gauge: id, State: gauge.StateLive, Time: now}})
	}
	r.station.Report(station.Report{Reading: &gauge.Reading{
		Gauge: id, Time: now, Value: gauge.MustLength(shown, gauge.Millimetre), Shown: shown, Unit: gauge.Millimetre, Status: gauge.StatusOK, Raw: []byte(shown),
	}})
}
