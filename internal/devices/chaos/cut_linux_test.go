package chaos_test

import (
	"testing"
	"time"

	"gauged/internal/devices"
	"gauged/internal/gauge"
)

// TestHangUpIsNoPause: a frame that ends with a pause was cut short when the
// line was hung up in it, however much what came looks like a frame.
func TestHangUpIsNoPause(t *testing.T) {
	t.Parallel()
	loose := *gapped
	loose.name = "loose"
	loose.layout = `layout: loose
title: A signed decimal of any length, then a pause
mode: stream
frame: {gap: 300ms, longest: 24}
match: '(?P<value>[+-]\d{1,4}\.\d{2,5})'
unit: mm
good:
  - {bytes: "+1.234", shown: "+1.234", unit: mm, value: "1.234"}
  - {bytes: "-1.234", shown: "-1.234", unit: mm, value: "-1.234"}
bad:
  - {bytes: "+1.2", reason: layout}
  - {bytes: "+1,234", reason: comma}
  - {bytes: "+1.2\x0034", reason: noise}
`
	onLines(t, 2, each(&loose), func(l *line, _ int) {
		l.write([]byte("+1.23")) // of +1.234
		l.drain()
		l.hangUp()
		l.refused++
		l.plug(nil)
	})
}

// TestStopIsNoPause: the daemon stops in the middle of a frame.
func TestStopIsNoPause(t *testing.T) {
	s := devices.NewScanner(gapped.parsed(t), 0, func(o devices.Outcome) {
		if o.Rejection == nil || o.Rejection.Reason != gauge.ReasonHalfFrame {
			t.Errorf("%q gave %v, %v", o.Raw, o.Value, o.Rejection)
		}
	})
	s.Quiet()
	s.Feed([]byte("+012.345 mm"), time.Now())
	s.Cut()
}

// TestPauseWhileBusy: half a frame of fixed length, a pause, and whole frames,
// while the sink is busy for longer than the pause.
func TestPauseWhileBusy(t *testing.T) {
	onLines(t, 1, each(bits), func(l *line, _ int) {
		pause := func() { time.Sleep(200 * time.Millisecond) }
		l.say([]byte("\xd2\x04\x40"))
		l.shut()
		l.send([]byte("\xd3\x04\x40"))
		l.must(l.await("the sink being busy", func() bool { return l.waiting }))
		l.judge()
		l.send([]byte("\x11\x22")) // the third byte is lost
		pause()
		l.judge()
		l.send([]byte("\x51\x04\x40"))
		l.send([]byte("\x52\x04\x40"))
		pause()
		l.judge()
		l.release()
		l.settle()
	})
}

// TestFixedFramesOutOfStep: after an opening in the middle of a frame nothing
// is trusted before the line was quiet.
func TestFixedFramesOutOfStep(t *testing.T) {
	refused := 0
	s := devices.NewScanner(bits.parsed(t), 0, func(o devices.Outcome) {
		if refused++; o.Rejection == nil {
			t.Errorf("%q was delivered as %v", o.Raw, o.Value)
		}
	})
	s.Feed([]byte("\x40\xd2\x04\x40\xd2\x44\x40\xd2\x44"), time.Now()) // frames d2 04 40, d2 44 40, begun late
	s.Quiet()
	if refused != 1 {
		t.Errorf("%d rejections", refused)
	}
}
