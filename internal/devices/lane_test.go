package devices

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
)

// boxed is a gauge behind a box.
func boxed(t *testing.T, id, layoutName, channel string) Gauge {
	l := layout(t, layoutName)
	g := Gauge{ID: id, Layout: l, Port: "/dev/x", Channel: channel, Mode: l.Mode, Unit: l.Unit}
	if l.Mode == gauge.ModeStream {
		g.SilentAfter = DefaultSilentAfter
	}
	return g
}

// takeByGauge is take with the gauge of each event.
func (r *rig) takeByGauge() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	var words []string
	for _, e := range r.events {
		switch {
		case e.Reading != nil:
			words = append(words, e.Reading.Gauge+" "+e.Reading.Shown)
		case e.Reject != nil:
			words = append(words, fmt.Sprintf("%s !%s x%d", e.Reject.Gauge, e.Reject.Reason, e.Count))
		case e.State != nil:
			words = append(words, fmt.Sprintf("%s <%s>", e.State.Gauge, e.State.State))
		}
	}
	r.events = nil
	return strings.Join(words, ", ")
}

func (r *rig) wantByGauge(want string) {
	r.t.Helper()
	if got := r.takeByGauge(); got != want {
		r.t.Errorf("events\n got %s\nwant %s", got, want)
	}
}

func TestSeveralGaugesBehindOneBox(t *testing.T) {
	left, right := boxed(t, "left", "channel-and-value", "01"), boxed(t, "right", "channel-and-value", "02")
	right.Unit = gauge.Inch
	superviseAll(t, []Gauge{left, right}, func(r *rig) {
		r.wantByGauge("left <opening>, right <opening>")
		r.send("01:+001.000 mm\r\n02:+00.1000 in\r\n01:+002.000 mm\r\n")
		r.wantByGauge("left <live>, left +001.000, right <live>, right +00.1000, left +002.000")
		r.send("02:------\r\n02:+001.000 mm\r\n01:+00.2000 in\r\n")
		r.wantByGauge("right !overrange x1, right !unit x1, left +00.2000")
		for range 4 {
			r.pass(time.Second)
			r.send("02:+00.2000 in\r\n")
		}
		r.wantByGauge("right +00.2000, right +00.2000, left <silent>, right +00.2000, right +00.2000")
		r.line(false, nil)
		r.hangUp()
		r.pass(0)
		r.wantByGauge("left <absent>, right <absent>")
	})
}

// TestChannelThatNoGaugeHas: its frames, which may come for years, leave a trace
// and do not fill the history.
func TestChannelThatNoGaugeHas(t *testing.T) {
	superviseAll(t, []Gauge{boxed(t, "left", "channel-and-value", "01")}, func(r *rig) {
		r.pass(time.Second)
		r.takeByGauge()
		for range 120 {
			r.send("03:+009.000 mm\r\n01:+001.000 mm\r\n")
			r.pass(500 * time.Millisecond)
		}
		r.pass(time.Second)
		got := strings.ReplaceAll(r.takeByGauge(), ", left +001.000", "")
		if got != "left !unknown x1, left <live>, left !unknown x119" {
			t.Errorf("events %s", got)
		}
	})
}

// answering answers each request with what it is to be answered with, once.
func (r *rig) answering(answers map[string]string) (asked func() string) {
	var seen []string
	go func() {
		buf := make([]byte, 64)
		for {
			n, err := r.far.Read(buf)
			if err != nil {
				return
			}
			request := string(buf[:n])
			r.mu.Lock()
			seen = append(seen, request)
			r.mu.Unlock()
			if answer, known := answers[request]; known {
				if _, err := r.far.Write([]byte(answer)); err != nil {
					return
				}
			}
		}
	}()
	return func() string {
		r.mu.Lock()
		defer r.mu.Unlock()
		defer func() { seen = nil }()
		return strings.Join(seen, "")
	}
}

func TestGaugesOfABoxAreAskedInTurn(t *testing.T) {
	var gauges []Gauge
	for _, channel := range []string{"A", "B", "C"} {
		g := boxed(t, strings.ToLower(channel), "request-channel", channel)
		g.Poll, g.SilentAfter = time.Second, DefaultSilentAfter
		gauges = append(gauges, g)
	}
	superviseAll(t, gauges, func(r *rig) {
		asked := r.answering(map[string]string{"RA\r": "+001.000\r", "RC\r": "+003.000\r"}) // B is dead
		r.takeByGauge()
		r.pass(time.Second)
		if got := asked(); got != "RB\r" {
			t.Errorf("asked %q", got)
		}
		r.pass(1300 * time.Millisecond) // B's answer stays out, and the line settles
		if got := asked(); got != "RC\rRA\r" {
			t.Errorf("asked %q", got)
		}
		r.wantByGauge("c <live>, c +003.000, a <live>, a +001.000")
		r.pass(58 * time.Second)
		got := asked()
		if a, b, c := strings.Count(got, "RA"), strings.Count(got, "RB"), strings.Count(got, "RC"); a < 40 || c < 40 || b < 4 || b > 10 {
			t.Errorf("in a minute A was asked %d times, B, which is dead, %d, C %d", a, b, c)
		}
		if states := r.takeByGauge(); strings.Count(states, "<") != 1 || !strings.Contains(states, "b <silent>") {
			t.Errorf("events %s", states)
		}
	})
}

func TestAskOneOfABox(t *testing.T) {
	gauges := []Gauge{boxed(t, "a", "request-channel", "A"), boxed(t, "b", "request-channel", "B")}
	superviseAll(t, gauges, func(r *rig) {
		asked := r.answering(map[string]string{"RA\r": "+001.000\r", "RB\r": "OL\r"})
		r.pass(time.Second)
		r.takeByGauge()
		if err := r.sup.Ask(r.t.Context(), "a"); err != nil {
			t.Error(err)
		}
		var rejection *Rejection
		if err := r.sup.Ask(r.t.Context(), "b"); !errors.As(err, &rejection) || rejection.Reason != gauge.ReasonOverrange {
			t.Errorf("got %v", err)
		}
		if err := r.sup.Ask(r.t.Context(), "c"); !errors.Is(err, ErrNotPolled) {
			t.Errorf("got %v", err)
		}
		r.wantByGauge("a +001.000, b !overrange x1")
		if got := asked(); got != "RA\rRB\r" {
			t.Errorf("asked %q", got)
		}
	})
}

// TestStationsOnABus: gauges of one layout at several stations, and an answer of
// the wrong station.
func TestStationsOnABus(t *testing.T) {
	l := registers(t, "station: 7", "station: channel", `value: "1.234"`, `value: "1.234", channel: "7"`, `value: "-0.048"`, `value: "-0.048", channel: "7"`)
	at := func(channel string) Gauge {
		return Gauge{ID: "s" + channel, Layout: once(Gauge{Layout: l}).Layout, Port: "/dev/x", Channel: channel, Mode: gauge.ModePoll, Unit: gauge.Millimetre}
	}
	frame := func(text, channel string) string {
		raw, err := l.Encode(gauge.MustLength(text, gauge.Millimetre), gauge.Millimetre, 3, channel)
		if err != nil {
			t.Fatal(err)
		}
		return string(raw)
	}
	superviseAll(t, []Gauge{at("7"), at("12")}, func(r *rig) {
		r.answering(map[string]string{string(l.RequestTo("7")): frame("1.234", "7"), string(l.RequestTo("12")): frame("5.000", "7")})
		r.pass(time.Second)
		r.takeByGauge()
		if err := r.sup.Ask(r.t.Context(), "s7"); err != nil {
			t.Error(err)
		}
		if err := r.sup.Ask(r.t.Context(), "s12"); !errors.Is(err, ErrNoAnswer) {
			t.Errorf("got %v", err)
		}
		r.wantByGauge("s7 1.234, s12 !unasked x1")
	})
}

// TestNewPortIsGivenTime: a port that has just appeared belongs to root until a
// rule gives it to its group.
func TestNewPortIsGivenTime(t *testing.T) {
	supervise(t, buttonGauge(t), func(r *rig) {
		r.line(false, nil)
		r.hangUp()
		r.pass(time.Minute)
		r.take()
		r.line(true, forbidden("/dev/x", ownership{}))
		r.pass(lookEvery)
		r.want("<opening>")
		r.pass(time.Second)
		r.line(true, nil)
		r.pass(graceEvery)
		r.want("<live>")
		r.pass(grace)
		r.line(true, forbidden("/dev/x", ownership{}))
		r.hangUp()
		r.pass(again.First + time.Second)
		r.want("<failed> <failed>")
	})
}

func TestPluggedInIsSeenAtOnce(t *testing.T) {
	supervise(t, buttonGauge(t), func(r *rig) {
		r.sup.ports.tell() // of some other port
		r.line(false, nil)
		r.hangUp()
		r.pass(time.Minute + lookEvery/2)
		r.take()
		r.line(true, nil)
		r.sup.ports.tell()
		r.pass(0)
		r.want("<live>")
	})
}
