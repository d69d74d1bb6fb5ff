package station

import (
	"context"
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gauged/internal/evaluate/capture"
	"gauged/internal/gauge"
	"gauged/internal/job"
)

// rocked judges the play of a shaft that is pushed to and fro.
const rocked = `procedure: ring
title: End play as found
unit: mm
measure:
  end_play: {title: end play, repeats: 3, agree: 0.010, capture: end stops}
  runout: {title: runout, repeats: 2, take: range, capture: turn}
  height: {title: height, capture: {stable: {band: 0.002, readings: 4}}}
gap: end_play
allow: {result: {min: 0.1, max: 0.3}}
`

// stream reports readings of the streaming gauge, 50 ms apart.
type stream struct {
	*rig
	at time.Time
}

func (s *stream) send(shown ...string) {
	for _, digits := range shown {
		s.at = s.at.Add(50 * time.Millisecond)
		s.Report(Report{Reading: &gauge.Reading{
			Gauge: "probe", Time: s.at, Value: gauge.MustLength(digits, gauge.Millimetre), Shown: digits, Unit: gauge.Millimetre,
			Status: gauge.StatusOK, Raw: []byte(digits),
		}})
	}
}

// rest sends the same reading for half a second.
func (s *stream) rest(shown string) {
	for range 10 {
		s.send(shown)
	}
}

// captured runs a capture, moves the shaft when it has begun, and returns the
// job after it and the last progress.
func captured(t *testing.T, r *rig, move func(*stream)) (*job.Job, Motion, error) {
	t.Helper()
	type result struct {
		j   *job.Job
		err error
	}
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
	defer cancel()
	begun, done := make(chan struct{}, 1), make(chan result, 1)
	var last Motion
	go func() {
		j, _, err := r.CaptureMotion(ctx, CaptureRequest{Job: 1, By: "tech"}, func(m Motion) {
			last = m
			select {
			case begun <- struct{}{}:
			default:
			}
		})
		done <- result{j, err}
	}()
	s := &stream{r, r.o.Now()}
	for waiting := true; waiting; { // until the capture sees the stream
		s.send("0.000")
		select {
		case <-begun:
			waiting = false
		case <-time.After(time.Millisecond):
		case got := <-done:
			return got.j, last, got.err
		}
	}
	move(s)
	got := <-done
	return got.j, last, got.err
}

func TestRockedShaft(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigWith(t, path, rocked)
	r.start(map[string]string{"*": "probe"})
	j, last, err := captured(t, r, func(s *stream) {
		s.rest("0.000")
		s.send("0.050", "0.120")
		s.rest("0.182") // first stroke
		s.send("0.100")
		s.rest("0.060") // hangs, and goes on
		s.rest("0.001") // second stroke
		s.send("0.090")
		s.rest("0.120") // does not reach the stop
		s.rest("0.000")
		s.send("0.100")
		s.rest("0.181") // third stroke
	})
	if err != nil {
		t.Fatal(err)
	}
	m, _ := j.Measurement("end_play")
	var shown []string
	for _, reading := range m.Readings {
		shown = append(shown, reading.Shown)
		if reading.From == 0 || reading.From >= reading.Seq {
			t.Errorf("the play %s is from %d to %d", reading.Shown, reading.From, reading.Seq)
		}
	}
	if got := strings.Join(shown, " "); got != "0.182 0.181 0.181" || !m.Complete {
		t.Errorf("plays %s, %+v", got, m)
	}
	if len(last.Faults) != 1 || last.Faults[0] != "the stroke to 0.120 mm did not reach the stop, by 0.061 mm" {
		t.Errorf("faults %q", last.Faults)
	}

	// A turn gives its beginning, its extremes and its end; a rest its middle.
	if j, _, err = captured(t, r, func(s *stream) {
		s.send("0.005", "0.012", "-0.003", "0.001")
		s.at = s.at.Add(capture.TurnLasts)
		s.send("0.000")
	}); err != nil {
		t.Fatal(err)
	}
	if m, _ := j.Measurement("runout"); m.Value.Text(gauge.Millimetre, 3) != "0.015" || len(m.Readings) != 4 {
		t.Errorf("runout %+v", m)
	}
	if j, _, err = captured(t, r, func(s *stream) {
		s.send("24.010", "24.004")
		s.rest("24.001")
	}); err != nil {
		t.Fatal(err)
	}
	if m, _ := j.Measurement("height"); m.Value.Text(gauge.Millimetre, 3) != "24.001" || j.Stage != job.StageDecided {
		t.Errorf("height %+v, stage %s", m, j.Stage)
	}

	// What the history keeps gives the same verdicts after a restart.
	r.stop()
	r.store.Close()
	again := rigWith(t, path, rocked)
	replay, err := again.ReplayVerdicts(t.Context(), 0)
	if err != nil || replay.Verdicts == 0 || len(replay.Differences) > 0 {
		t.Errorf("%+v, %v", replay, err)
	}
	if before, after := string(j.Evaluated), string(again.job(1).Evaluated); before != after {
		t.Errorf("the job reads back as\n%s\nit was\n%s", after, before)
	}
}

func TestCaptureMotionRefusals(t *testing.T) {
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), rocked)
	r.start(nil)
	_, _, err := r.CaptureMotion(t.Context(), CaptureRequest{Job: 1}, nil)
	if want := "refused: end_play has no gauge in job 1; type the value in"; err == nil || said(err) != want {
		t.Errorf("got %v, want %s", err, want)
	}
	r.start(map[string]string{"*": "probe"})
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, _, err := r.CaptureMotion(ctx, CaptureRequest{Job: 2}, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	still := newRig(t)
	still.start(map[string]string{"*": "probe"})
	_, _, err = still.CaptureMotion(t.Context(), CaptureRequest{Job: 1}, nil)
	if want := "refused: procedure ring does not capture depth from a moving indicator"; err == nil || said(err) != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

func TestCaptureThatGivesUp(t *testing.T) {
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), rocked)
	m := newMotion(r.start(map[string]string{"*": "probe"}).Procedure.Measure[0])
	if got := told(m.soFar()); got != "no reading came" {
		t.Errorf("got %q", got)
	}
	at := r.o.Now()
	for i := range 60 {
		shown := "0.000"
		if i/20 == 1 {
			shown = "0.150"
		}
		at = at.Add(50 * time.Millisecond)
		m.feed(gauge.Fact{Seq: uint64(i + 1), Reading: &gauge.Reading{Time: at, Value: gauge.MustLength(shown, gauge.Millimetre), Shown: shown, Unit: gauge.Millimetre}})
	}
	if got := told(m.soFar()); got != "2 of 3 strokes" {
		t.Errorf("got %q", got)
	}
}

// TestCaptureOfAGaugeThatIsPulled: a capture under way ends when its gauge is pulled,
// fails or falls silent, with what it had and nothing taken; of a gauge that is away
// none begins. That of another gauge does not matter.
func TestCaptureOfAGaugeThatIsPulled(t *testing.T) {
	for _, state := range []gauge.State{gauge.StateAbsent, gauge.StateSilent, gauge.StateFailed} {
		r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), rocked)
		r.start(map[string]string{"*": "probe"})
		_, _, err := captured(t, r, func(s *stream) {
			s.rest("0.000")
			s.rest("0.150")
			s.Report(Report{State: &gauge.StateChange{Gauge: "button", State: state, Time: s.at}})
			s.Report(Report{State: &gauge.StateChange{Gauge: "probe", State: state, Reason: gauge.Plain("plug it in"), Time: s.at}})
		})
		if err == nil || !errors.Is(err, gauge.ErrRefused) || !strings.HasPrefix(said(err), "refused: gauge probe is "+told(gauge.Say("state."+string(state)))+": plug it in; ") || !strings.HasSuffix(said(err), ", and nothing was taken: begin again when it sends") {
			t.Errorf("%s: %v", state, err)
		}
		if j, err := r.Job(t.Context(), 1); err != nil || len(j.Taken) != 0 {
			t.Errorf("%s: %v, %v", state, j, err)
		}
		if _, _, err := r.CaptureMotion(t.Context(), CaptureRequest{Job: 1}, nil); err == nil || said(err) != "refused: gauge probe is "+told(gauge.Say("state."+string(state)))+": plug it in" {
			t.Errorf("%s at the beginning: %v", state, err)
		}
	}
}
