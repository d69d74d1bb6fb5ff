package server

import (
	"bufio"
	"context"
	"maps"
	"net/http"
	"strings"
	"testing"
)

// watch is a stream of events as a browser reads it.
type watch struct {
	t     testing.TB
	lines *bufio.Scanner
	close context.CancelFunc
}

func (h *overHTTP) watch(path string, headers ...string) *watch {
	h.t.Helper()
	ctx, cancel := context.WithCancel(h.t.Context())
	h.t.Cleanup(cancel)
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, h.url+path, nil)
	if err != nil {
		h.t.Fatal(err)
	}
	for _, line := range headers {
		name, value, _ := strings.Cut(line, ": ")
		r.Header.Set(name, value)
	}
	got, err := h.client.Do(r)
	if err != nil {
		h.t.Fatal(err)
	}
	h.t.Cleanup(func() { _ = got.Body.Close() })
	if got.StatusCode != http.StatusOK || got.Header.Get("Content-Type") != "text/event-stream" {
		h.t.Fatalf("%s: %d %s", path, got.StatusCode, got.Header)
	}
	return &watch{h.t, bufio.NewScanner(got.Body), cancel}
}

// next is the next event.
func (w *watch) next() (e struct{ name, id, data string }) {
	w.t.Helper()
	for w.lines.Scan() {
		field, value, _ := strings.Cut(w.lines.Text(), ": ")
		switch field {
		case "event":
			e.name = value
		case "id":
			e.id = value
		case "data":
			e.data = value
		case "":
			if e.name != "" {
				return e
			}
		}
	}
	w.t.Fatalf("the stream ended: %v", w.lines.Err())
	return e
}

// TestEventsGoOn: who lost the connection goes on behind the last event that they had, and
// misses and doubles nothing.
func TestEventsGoOn(t *testing.T) {
	r := newRig(t)
	h := serveHTTP(t, r.server, anyone)
	first := h.watch("/v1/events/readings?gauge_ids=sent")
	if e := first.next(); e.name != "start" {
		t.Fatalf("begins with %+v", e)
	}
	h.ask("POST", "/v1/readings", sent(1, 3))
	var last, shown string
	seen := map[string]int{}
	count := func(w *watch) {
		e := w.next()
		if e.name != "reading" {
			return
		}
		last = e.id
		_, shown, _ = strings.Cut(e.data, `"text":"`)
		shown, _, _ = strings.Cut(shown, `"`)
		seen[shown]++
	}
	for len(seen) < 2 {
		count(first)
	}
	first.close()
	h.ask("POST", "/v1/readings", sent(4, 6))
	second := h.watch("/v1/events/readings?gauge_ids=sent", "Last-Event-ID: "+last)
	for seen["0.006"] == 0 {
		count(second)
	}
	want := map[string]int{}
	for i := 1; i <= 6; i++ {
		want[numbered(i)] = 1
	}
	if !maps.Equal(seen, want) {
		t.Errorf("seen %v", seen)
	}
}

// TestEventsOfJobs: jobs and verdicts are events, and one job is a stream of its own.
func TestEventsOfJobs(t *testing.T) {
	r := newRig(t)
	h := serveHTTP(t, r.server, anyone)
	all := h.watch("/v1/events/jobs")
	all.next()
	var started struct{ Job struct{ ID string } }
	h.ask("POST", "/v1/jobs", `{"procedure_id": "runout", "unit_serial": "A-1", "by": "J. Test"}`).into(t, &started)
	if e := all.next(); e.name != "change" || !strings.Contains(e.data, `"A-1"`) {
		t.Errorf("the start is %+v", e)
	}
	one := h.watch("/v1/events/jobs/" + started.Job.ID)
	if e := one.next(); e.name != "job" || !strings.Contains(e.data, `"A-1"`) {
		t.Errorf("the job is %+v", e)
	}
}

// TestStopEndsEvents: when the daemon stops, who watches is told why.
func TestStopEndsEvents(t *testing.T) {
	r := newRig(t)
	h := serveHTTP(t, r.server, anyone)
	w := h.watch("/v1/events/readings")
	w.next()
	r.stopServer()
	if e := w.next(); e.name != "end" || !strings.Contains(e.data, `"code":"DAEMON_STOPPING"`) || !strings.Contains(e.data, `"status":503`) {
		t.Errorf("the end is %+v", e)
	}
}

// TestWatchersTakeNoPlace: more watchers than one connection of gRPC has calls leave the
// others theirs.
func TestWatchersTakeNoPlace(t *testing.T) {
	r := newRig(t)
	h := serveHTTP(t, r.server, anyone)
	for range mostCalls + 5 {
		h.watch("/v1/events/readings").next()
	}
	if a := h.ask("GET", "/v1/gauges", ""); a.status != http.StatusOK {
		t.Errorf("%d %s", a.status, a.body)
	}
}
