package devices

import (
	"context"
	"errors"
	"io/fs"
	"log/slog"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"gauged/internal/gauge"
)

func TestButtonGaugeIsLiveAndNeverSilent(t *testing.T) {
	supervise(t, buttonGauge(t), func(r *rig) {
		r.want("<live>")
		r.pass(time.Hour)
		r.want("")
		r.send("+012.345 mm\r\n")
		r.want("+012.345 mm")
		if strings.Count(r.log.String(), "\n") != 1 {
			t.Errorf("one state change gave this log:\n%s", &r.log)
		}
	})
}

func TestButtonBounce(t *testing.T) {
	supervise(t, buttonGauge(t), func(r *rig) {
		r.send("+000.100 mm\r\n")
		r.pass(149 * time.Millisecond)
		r.send("+000.100 mm\r\n")
		r.pass(149 * time.Millisecond)
		r.send("+000.100 mm\r\n")
		r.want("<live> +000.100 mm !repeated !repeated")
		r.pass(150 * time.Millisecond)
		r.send("+000.100 mm\r\n+000.101 mm\r\n")
		r.want("+000.100 mm +000.101 mm")
	})
}

func TestUnitChangesInMidJob(t *testing.T) {
	supervise(t, buttonGauge(t), func(r *rig) {
		r.send("+001.000 mm\r\n+00.0394 in\r\n")
		r.want("<live> +001.000 mm +00.0394 in")
	})
	g := buttonGauge(t)
	g.Unit = gauge.Millimetre
	supervise(t, g, func(r *rig) {
		r.send("+001.000 mm\r\n+00.0394 in\r\n")
		if got, want := told(r.seen()[len(r.seen())-1].Reject.Detail), "the gauge sent in, its definition says mm"; got != want {
			t.Errorf("detail %q, want %q", got, want)
		}
		r.want("<live> +001.000 mm !unit")
	})
}

func TestStreamOpeningLiveSilent(t *testing.T) {
	supervise(t, streamGauge(t), func(r *rig) {
		r.want("<opening>")
		r.pass(3 * time.Second)
		if got, want := told(r.seen()[0].State.Reason), "nothing came for 3 s: is the gauge switched on and its cable plugged in?"; got != want {
			t.Errorf("reason %q, want %q", got, want)
		}
		r.want("<silent>")
		r.send("+1.234\r\n")
		r.want("<live> +1.234 mm")
		for range 4 {
			r.pass(900 * time.Millisecond)
			r.send("UUUU\r\n")
		}
		last := r.seen()[len(r.seen())-2].State
		if last == nil || told(last.Reason) != `no valid frame came for 3 s, but 3 others, the last: noise on the line (byte 1 of "UUUU" is 0x55, which cannot stand in this layout); are line and layout right?` {
			t.Errorf("state %+v", last)
		}
		r.want("!noise !noise !noise <silent> !noise")
	})
}

func TestUnplugAndReplug(t *testing.T) {
	supervise(t, buttonGauge(t), func(r *rig) {
		r.send("+000.100 mm\r\n+000.2")
		r.line(false, nil)
		r.hangUp()
		synctest.Wait()
		r.want("<live> +000.100 mm !half_frame <absent>")
		r.pass(time.Minute)
		r.want("")
		r.line(true, nil)
		r.pass(lookEvery)
		r.want("<live>")
		r.send("+000.300 mm\r\n")
		r.want("+000.300 mm")
	})
}

func TestReplugBetweenTwoLooksIsReported(t *testing.T) {
	supervise(t, buttonGauge(t), func(r *rig) {
		r.mu.Lock()
		r.blink = true
		r.mu.Unlock()
		r.hangUp()
		r.pass(lookEvery)
		r.want("<live> <absent> <live>")
	})
}

func TestAbsentAtStart(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := &rig{t: t}
		r.sup = NewSupervisor([]Gauge{buttonGauge(t)}, r, nil, r.sink, slog.New(slog.DiscardHandler))
		ctx, cancel := context.WithCancel(t.Context())
		done := make(chan struct{})
		go func() { defer close(done); r.sup.Run(ctx) }()
		r.pass(time.Hour)
		if got := told(r.seen()[0].State.Reason); got != "the port /dev/x does not exist: plug the gauge in" {
			t.Errorf("reason %q", got)
		}
		r.want("<absent>")
		if r.tries() != 0 {
			t.Errorf("a port that does not exist was opened %d times", r.tries())
		}
		cancel()
		<-done
	})
}

func TestRefusedPortBacksOff(t *testing.T) {
	g := buttonGauge(t)
	supervise(t, g, func(r *rig) {
		r.line(true, missing("/dev/x"))
		r.hangUp()
		r.pass(time.Hour)
		// At most 15 s and at least 12 s between tries after the first few.
		if r.tries() < 3600/18 || r.tries() > 3600/12+10 {
			t.Errorf("%d tries in an hour", r.tries())
		}
		r.want("<live> <failed> <failed>") // the hang-up, then the refusal, once
		r.line(true, nil)
		r.pass(18 * time.Second)
		r.want("<live>")
		if !errors.Is(missing("/dev/x"), fs.ErrNotExist) {
			t.Error("a missing port is not fs.ErrNotExist")
		}
	})
}

// hungUp is a port that opens and fails at once, or gives nothing for ever.
type hungUpPort struct {
	Port
	reads *int
	panic bool
}

func (p hungUpPort) Read([]byte) (int, error) {
	*p.reads++
	if p.panic {
		panic("index out of range")
	}
	return 0, nil
}

func TestPortThatFailsAtOnceIsNotABusyLoop(t *testing.T) {
	for _, panics := range []bool{false, true} {
		reads := 0
		synctest.Test(t, func(t *testing.T) {
			r := &rig{t: t, present: true, wrap: func(p Port) Port { return hungUpPort{p, &reads, panics} }}
			r.sup = NewSupervisor([]Gauge{buttonGauge(t)}, r, nil, r.sink, slog.New(slog.DiscardHandler))
			ctx, cancel := context.WithTimeout(t.Context(), time.Hour)
			defer cancel()
			r.sup.Run(ctx)
		})
		if reads < 200 || reads > 320 {
			t.Errorf("panic %v: %d reads in an hour, want one for each backoff of 12 to 18 s", panics, reads)
		}
	}
}

func TestBackoffResetsOnlyAfterAValidFrame(t *testing.T) {
	supervise(t, streamGauge(t), func(r *rig) {
		for range 8 {
			r.hangUp()
			r.pass(18 * time.Second)
		}
		before := r.tries()
		r.hangUp()
		r.pass(10 * time.Second)
		if r.tries() != before {
			t.Error("an opened port without a valid frame reset the backoff")
		}
		r.pass(8 * time.Second)
		r.pass(time.Second) // quiet: what follows is whole
		r.send("+1.000\r\n")
		before = r.tries()
		r.hangUp()
		r.pass(300 * time.Millisecond)
		if r.tries() != before+1 {
			t.Error("a valid frame did not reset the backoff")
		}
	})
}

func TestStopsInEveryState(t *testing.T) {
	states := map[string]func(r *rig){
		"live":   func(*rig) {},
		"absent": func(r *rig) { r.line(false, nil); r.hangUp() },
		"failed": func(r *rig) { r.line(true, errors.New("refused")); r.hangUp() },
	}
	for name, into := range states {
		t.Run(name, func(t *testing.T) {
			supervise(t, buttonGauge(t), func(r *rig) {
				into(r)
				synctest.Wait()
				began := time.Now()
				r.stop()
				if took := time.Since(began); took != 0 {
					t.Errorf("stopping took %v", took)
				}
			})
		})
	}
}

func TestFloodOfNoiseIsThinnedAndCounted(t *testing.T) {
	supervise(t, streamGauge(t), func(r *rig) {
		r.pass(300 * time.Millisecond)
		r.take()
		for range 500 {
			r.send("UUUU\r\n")
		}
		r.send("+1.000\r\n")
		r.pass(time.Second)
		var counted uint64
		for _, e := range r.seen() {
			if e.Reject != nil {
				counted += e.Count
			}
		}
		if counted != 500 {
			t.Errorf("%d of 500 rejections were counted", counted)
		}
		last := r.seen()[len(r.seen())-1]
		if !strings.HasSuffix(told(last.Reject.Detail), "(the last of 490 of this kind that are not listed)") {
			t.Errorf("detail %q", last.Reject.Detail)
		}
		r.want(strings.Repeat("!noise ", 10) + "<live> +1.000 mm !noise x490")
	})
}
