package page

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"time"
)

const (
	// streamTick is how often a stream sends something although nothing changed:
	// ages in words, and a sign of life.
	streamTick = 500 * time.Millisecond
	// streamPause is the least time between two events, so that a gauge that sends
	// a thousand times a second does not; a screen shows no more.
	streamPause = 30 * time.Millisecond
	// streamWrite is how long one event may take to be written before the reader is given up.
	streamWrite = 10 * time.Second
)

// stream sends server-sent events to one page.
type stream struct {
	w    http.ResponseWriter
	c    *http.ResponseController
	last uint64            // the event id that the page has already; 0: none
	rest time.Duration     // least time between two events
	sent map[string]string // region by name, as the page has it
}

// noDeadline lets a connection stay open for as long as the page does.
var noDeadline time.Time

func newStream(w http.ResponseWriter, r *request) *stream {
	h := w.Header()
	h.Set("Content-Type", "text/event-stream")
	h.Set("X-Accel-Buffering", "no") // a proxy in front must pass events on at once
	s := &stream{w: w, c: http.NewResponseController(w), rest: streamPause, sent: map[string]string{}}
	// Else the stream would end with the time that a request may take to be read. A
	// writer that knows no deadlines has none to lift.
	_ = s.c.SetReadDeadline(noDeadline)
	// The browser's own reconnect names the last event in a header, the page's in the query.
	s.last, _ = strconv.ParseUint(cmp.Or(r.Header.Get("Last-Event-ID"), r.FormValue("after")), 10, 64)
	return s
}

// event sends one event. Its id is a number of the history: a page that comes
// back names the last one that it saw.
func (s *stream) event(name string, id uint64, data any) error {
	encoded, err := json.Marshal(data)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	if id > 0 {
		fmt.Fprintf(&out, "id: %d\n", id)
		s.last = id
	}
	fmt.Fprintf(&out, "event: %s\ndata: %s\n\n", name, encoded)
	if err := s.c.SetWriteDeadline(time.Now().Add(streamWrite)); err != nil {
		return err
	}
	if _, err := s.w.Write(out.Bytes()); err != nil {
		return err
	}
	return s.c.Flush()
}

// regions sends those regions that differ from what was sent before.
func (s *stream) regions(id uint64, regions map[string]string) error {
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
	return s.event("regions", id, changed)
}

// follow calls show at once, after each change of the station and at each tick,
// until ctx ends or show fails. Both ends are usual: the page was left.
func (p *Page) follow(ctx context.Context, s *stream, show func() error) error {
	tick := time.NewTicker(streamTick)
	defer tick.Stop()
	greeted := false // what a form is sent with is known from the beginning
	for {
		changed := p.o.Station.Changed()
		if err := show(); err != nil {
			return err
		}
		if !greeted {
			greeted = true
			if err := s.event("alive", 0, p.uptime()); err != nil {
				return err
			}
		}
		select {
		case <-ctx.Done():
			return nil
		case <-time.After(s.rest):
		}
		select {
		case <-ctx.Done():
			return nil
		case <-changed:
		case <-tick.C:
			if err := s.event("alive", 0, p.uptime()); err != nil {
				return err
			}
		}
	}
}
