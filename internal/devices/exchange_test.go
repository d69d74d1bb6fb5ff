package devices

import (
	"context"
	"errors"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"gauged/internal/gauge"
)

// requests reads what the supervisor sends and counts it.
func (r *rig) requests() *atomic.Int32 {
	count := new(atomic.Int32)
	go func() {
		buf := make([]byte, 64)
		for {
			n, err := r.far.Read(buf)
			if err != nil {
				return
			}
			count.Add(int32(strings.Count(string(buf[:n]), "?\r")))
		}
	}()
	return count
}

func TestPolledByInterval(t *testing.T) {
	supervise(t, pollGauge(t, 500*time.Millisecond), func(r *rig) {
		asked := r.requests()
		r.want("<opening>")
		for i := range 4 {
			r.pass(500 * time.Millisecond)
			if asked.Load() != int32(i+1) {
				t.Fatalf("%d requests after %d intervals", asked.Load(), i+1)
			}
			r.send("V=+1.234;mm\r")
		}
		r.want("<live> +1.234 mm +1.234 mm +1.234 mm +1.234 mm")
	})
}

func TestAsk(t *testing.T) {
	supervise(t, pollGauge(t, 0), func(r *rig) {
		asked := r.requests()
		r.want("<live>")
		r.pass(time.Hour)
		if asked.Load() != 0 {
			t.Errorf("a gauge that is only asked on demand was asked %d times", asked.Load())
		}
		answers := make(chan error, 2)
		for range 2 {
			go func() { answers <- r.sup.Ask(r.t.Context(), r.sup.lanes[0].gauge.ID) }()
			synctest.Wait()
		}
		if asked.Load() != 1 {
			t.Fatalf("%d requests are out at once", asked.Load())
		}
		r.send("V=+1.000;mm\r")
		if err := <-answers; err != nil {
			t.Fatal(err)
		}
		r.want("+1.000 mm")
		if asked.Load() != 2 {
			t.Fatalf("the second asker's request was not sent: %d", asked.Load())
		}
		r.send("V=OL;mm\r")
		var rejection *Rejection
		if err := <-answers; !errors.As(err, &rejection) || rejection.Reason != gauge.ReasonOverrange {
			t.Errorf("got %v", err)
		}
		r.want("!overrange")
	})
}

func TestLateAnswerIsNeverTakenForTheNext(t *testing.T) {
	supervise(t, once(pollGauge(t, 0)), func(r *rig) {
		asked := r.requests()
		r.pass(time.Second)
		if err := r.sup.Ask(r.t.Context(), r.sup.lanes[0].gauge.ID); !errors.Is(err, ErrNoAnswer) {
			t.Fatalf("got %v", err)
		}
		next := make(chan error, 1)
		go func() { next <- r.sup.Ask(r.t.Context(), r.sup.lanes[0].gauge.ID) }()
		r.pass(900 * time.Millisecond)
		r.send("V=+1.000;mm\r") // late for the first request
		r.pass(999 * time.Millisecond)
		if asked.Load() != 1 {
			t.Errorf("the next request went out before the line was quiet for a second")
		}
		r.pass(time.Millisecond)
		if asked.Load() != 2 {
			t.Fatalf("%d requests", asked.Load())
		}
		r.send("V=+2.000;mm\rV=+3.000;mm\r")
		if err := <-next; err != nil {
			t.Error(err)
		}
		r.want("<live> !unasked +2.000 mm !unasked")
	})
}

func TestFrameThatBeganBeforeTheRequestIsUnasked(t *testing.T) {
	supervise(t, pollGauge(t, 0), func(r *rig) {
		asked := r.requests()
		r.pass(time.Second)
		r.take()
		r.send("V=+1.0")
		r.pass(10 * time.Millisecond)
		next := make(chan error, 1)
		go func() { next <- r.sup.Ask(r.t.Context(), r.sup.lanes[0].gauge.ID) }()
		r.pass(10 * time.Millisecond)
		r.send("00;mm\r")
		r.send("V=+2.000;mm\r")
		if err := <-next; err != nil || asked.Load() != 1 {
			t.Errorf("%v after %d requests", err, asked.Load())
		}
		r.want("!unasked +2.000 mm")
	})
}

func TestAskWithoutALine(t *testing.T) {
	supervise(t, pollGauge(t, 0), func(r *rig) {
		r.line(false, nil)
		r.hangUp()
		synctest.Wait()
		err := r.sup.Ask(r.t.Context(), r.sup.lanes[0].gauge.ID)
		if err == nil || err.Error() != "gauge depth: not plugged in: the port /dev/x does not exist: plug the gauge in" {
			t.Errorf("got %v", err)
		}
		r.stop()
		if err := r.sup.Ask(r.t.Context(), r.sup.lanes[0].gauge.ID); !errors.Is(err, ErrStopped) {
			t.Errorf("got %v", err)
		}
	})
	supervise(t, buttonGauge(t), func(r *rig) {
		if err := r.sup.Ask(r.t.Context(), r.sup.lanes[0].gauge.ID); !errors.Is(err, ErrNotPolled) {
			t.Errorf("got %v", err)
		}
	})
}

func TestUnplugWhileAsked(t *testing.T) {
	supervise(t, pollGauge(t, 0), func(r *rig) {
		r.requests()
		r.pass(time.Second)
		next := make(chan error, 1)
		go func() { next <- r.sup.Ask(context.Background(), r.sup.lanes[0].gauge.ID) }()
		synctest.Wait()
		r.line(false, nil)
		r.hangUp()
		if err := <-next; !errors.Is(err, ErrNoAnswer) {
			t.Errorf("got %v", err)
		}
	})
}

// once is the gauge with a layout by which it is asked once only.
func once(g Gauge) Gauge {
	l := *g.Layout
	l.Tries = 1
	g.Layout = &l
	return g
}

func TestAskedAgainWhenNoAnswerComes(t *testing.T) {
	supervise(t, pollGauge(t, 0), func(r *rig) {
		asked := r.requests()
		r.pass(time.Second)
		answer := make(chan error, 1)
		ask := func() { answer <- r.sup.Ask(r.t.Context(), "depth") }
		go ask()
		r.pass(100 * time.Millisecond)
		r.send("V=+1.0\x7f00;mm\r") // garbled: no answer
		r.pass(300*time.Millisecond + time.Second)
		if asked.Load() != 2 {
			t.Fatalf("%d requests", asked.Load())
		}
		r.send("V=+1.000;mm\r")
		if err := <-answer; err != nil {
			t.Error(err)
		}
		r.want("<live> !noise +1.000 mm")
		go ask()
		r.pass(time.Minute)
		if err := <-answer; !errors.Is(err, ErrNoAnswer) || asked.Load() != 4 {
			t.Errorf("%v after %d requests", err, asked.Load()-2)
		}
	})
}
