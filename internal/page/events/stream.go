// Package events sends server-sent events to the pages of a station.
package events

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"time"
)

const (
	// pause is the least time between two events, so that a gauge that sends
	// a thousand times a second does not; a screen shows no more.
	pause = 30 * time.Millisecond
	// writes is how long one event may take to be written before the reader is given up.
	writes = 10 * time.Second
)

// Stream sends server-sent events to one page.
type Stream struct {
	w    http.ResponseWriter
	c    *http.ResponseController
	Last uint64            // the event id that the page has already; 0: none
	Rest time.Duration     // least time between two events
	sent map[string]string // region by name, as the page has it
}

// noDeadline lets a connection stay open for as long as the page does.
var noDeadline time.Time

// New begins a stream: Last is the event that the page has seen, Rest the least time between
// two events.
func New(w http.ResponseWriter, r *http.Request) *Stream {
	h := w.Header()
	h.Set("Content-Type", "text/event-stream")
	h.Set("X-Accel-Buffering", "no") // a proxy in front must pass events on at once
	s := &Stream{w: w, c: http.NewResponseController(w), Rest: pause, sent: map[string]string{}}
	// Else the stream would end with the time that a request may take to be read. A
	// writer that knows no deadlines has none to lift.
	_ = s.c.SetReadDeadline(noDeadline)
	// The browser's own reconnect names the last event in a header, the page's in the query.
	s.Last, _ = strconv.ParseUint(cmp.Or(r.Header.Get("Last-Event-ID"), r.FormValue("after")), 10, 64)
	return s
}

// Event sends one event. Its id is a number of the history: a page that comes
// back names the last one that it saw.
func (s *Stream) Event(name string, id uint64, data any) error {
	encoded, err := json.Marshal(data)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	if id > 0 {
		fmt.Fprintf(&out, "id: %d\n", id)
		s.Last = id
	}
	fmt.Fprintf(&out, "event: %s\ndata: %s\n\n", name, encoded)
	if err := s.c.SetWriteDeadline(time.Now().Add(writes)); err != nil {
		return err
	}
	if _, err := s.w.Write(out.Bytes()); err != nil {
		return err
	}
	return s.c.Flush()
}

// Regions sends those regions that differ from what was sent before.
func (s *Stream) Regions(id uint64, regions map[string]string) error {
	changed := map[string]string{}
	for name, html := range regions {
		if before, ok := s.sent[name]; !ok || before != html {
			changed[name] = html
			s.sent[name] = html
		}
	}
	if len(changed) == 0 {
		return nil
	}
	return s.Event("regions", id, changed)
}
