package devices

import (
	"context"
	"fmt"
	"log/slog"
	"net"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

// pipePort is a port over net.Pipe, which the fake clock of synctest knows.
type pipePort struct {
	net.Conn
	quiet time.Duration
}

func (p pipePort) Read(buf []byte) (int, error) {
	if err := p.SetReadDeadline(time.Now().Add(p.quiet)); err != nil {
		return 0, err
	}
	return p.Conn.Read(buf)
}

// rig is a supervisor between a fake line and a list of events.
type rig struct {
	t    *testing.T
	sup  *Supervisor
	wrap func(Port) Port
	log  strings.Builder
	stop func()

	mu      sync.Mutex
	present bool
	blink   bool // the next look finds no port, the one after does
	refuse  error
	far     net.Conn
	dials   int
	events  []Event
}

func (r *rig) Present() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.blink {
		r.blink = false
		return false
	}
	return r.present
}

func (r *rig) Dial() (Port, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.dials++
	if r.refuse != nil {
		return nil, r.refuse
	}
	near, far := net.Pipe()
	r.far = far
	var p Port = pipePort{near, r.sup.lanes[0].gauge.Layout.Pause}
	if r.wrap != nil {
		p = r.wrap(p)
	}
	return p, nil
}

func (r *rig) sink(e Event) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.events = append(r.events, e)
}

// line says whether the port is there, and why it cannot be opened.
func (r *rig) line(present bool, refuse error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.present, r.refuse = present, refuse
}

func (r *rig) hangUp() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.far.Close()
}

func (r *rig) tries() int {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.dials
}

func (r *rig) seen() []Event {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.events
}

// supervise runs a test of one gauge's supervisor with a fake clock.
func supervise(t *testing.T, g Gauge, test func(r *rig)) {
	t.Helper()
	superviseAll(t, []Gauge{g}, test)
}

// superviseAll is the same for the gauges on one line.
func superviseAll(t *testing.T, gauges []Gauge, test func(r *rig)) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		r := &rig{t: t, present: true}
		quiet := slog.New(slog.NewTextHandler(&r.log, nil))
		r.sup = NewSupervisor(gauges, r, NewPorts(), r.sink, quiet)
		ctx, cancel := context.WithCancel(t.Context())
		done := make(chan struct{})
		go func() { defer close(done); r.sup.Run(ctx) }()
		r.stop = func() { cancel(); <-done }
		synctest.Wait()
		test(r)
		r.stop()
		r.hangUp()
	})
}

func (r *rig) send(text string) {
	r.t.Helper()
	if _, err := r.far.Write([]byte(text)); err != nil {
		r.t.Fatal(err)
	}
	synctest.Wait()
}

func (r *rig) pass(d time.Duration) {
	time.Sleep(d)
	synctest.Wait()
}

// take returns the events so far as words and forgets them.
func (r *rig) take() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	var words []string
	for _, e := range r.events {
		switch {
		case e.Reading != nil:
			words = append(words, e.Reading.Shown+" "+e.Reading.Unit.String())
		case e.Reject != nil && e.Count > 1:
			words = append(words, fmt.Sprintf("!%s x%d", e.Reject.Reason, e.Count))
		case e.Reject != nil:
			words = append(words, "!"+string(e.Reject.Reason))
		case e.State != nil:
			words = append(words, "<"+string(e.State.State)+">")
		}
	}
	r.events = nil
	return strings.Join(words, " ")
}

func (r *rig) want(want string) {
	r.t.Helper()
	if got := r.take(); got != want {
		r.t.Errorf("events\n got %s\nwant %s", got, want)
	}
}

func buttonGauge(t *testing.T) Gauge {
	return Gauge{ID: "dial", Layout: layout(t, "value-with-unit"), Port: "/dev/x", Mode: gauge.ModeButton, Bounce: gauge.BounceTime}
}

func streamGauge(t *testing.T) Gauge {
	return Gauge{ID: "stand", Layout: layout(t, "signed-line"), Port: "/dev/x", Unit: gauge.Millimetre, Mode: gauge.ModeStream, SilentAfter: DefaultSilentAfter}
}

func pollGauge(t *testing.T, every time.Duration) Gauge {
	g := Gauge{ID: "depth", Layout: layout(t, "request-reply"), Port: "/dev/x", Mode: gauge.ModePoll, Poll: every}
	if every > 0 {
		g.SilentAfter = DefaultSilentAfter
	}
	return g
}

// told is a message in English.
func told(m gauge.Message) string { return words.In(words.English).Tell(m) }
