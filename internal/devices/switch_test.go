package devices

import (
	"context"
	"log/slog"
	"testing"
	"testing/synctest"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

func readSwitches(t *testing.T, content string) ([]Switch, error) {
	t.Helper()
	doc := shopfile.Parse("f", []byte(content))
	switches := ReadSwitches(doc.Root(), []Gauge{{ID: "dial"}, {ID: "typed", Keyboard: "KB1"}})
	return switches, doc.Err()
}

func TestReadSwitches(t *testing.T) {
	switches, err := readSwitches(t, `pedal: {title: Pedal, keyboard: FS1, keys: {f13: capture, b: discard, button-right: next, "1": next}, gauges: [dial]}`)
	if err != nil || len(switches) != 1 {
		t.Fatal(switches, err)
	}
	s := switches[0]
	for code, want := range map[uint16]gauge.Meaning{183: gauge.MeansCapture, 48: gauge.MeansDiscard, 0x111: gauge.MeansNext, 2: gauge.MeansNext} {
		if s.Keys[code] != want {
			t.Errorf("key %d is for %q, want %q", code, s.Keys[code], want)
		}
	}
	if s.ID != "pedal" || s.Title != "Pedal" || s.Keyboard != "FS1" || len(s.Keys) != 4 || s.Gauges[0] != "dial" {
		t.Errorf("%+v", s)
	}
}

func TestBadSwitches(t *testing.T) {
	names := "backspace, button-left, button-middle, button-right, delete, down, end, enter, esc, " +
		"f1, f10, f11, f12, f13, f14, f15, f16, f17, f18, f19, f2, f20, f21, f22, f23, f24, f3, f4, f5, f6, f7, f8, f9, " +
		"home, insert, left, nextsong, pagedown, pageup, playpause, previoussong, right, space, tab, up, volumedown, volumeup"
	for content, want := range map[string]string{
		`p: {keys: {a: next}}`:                                                 `f:1:4: "keyboard" is missing`,
		`p: {keyboard: F, keys: {}}`:                                           `f:1:24: say what a key is for, such as {f13: capture, f14: discard, f15: next}`,
		`p: {keyboard: F, keys: {f25: next}}`:                                  `f:1:25: "f25" is no name of a key: write the character that it types, or one of ` + names,
		`p: {keyboard: F, keys: {a: sign}}`:                                    `f:1:28: "sign" is not known here: use capture, discard, next`,
		`dial: {keyboard: F, keys: {a: next}}`:                                 `f:1:1: "dial" is the id of a gauge: give the switch another`,
		`p: {keyboard: KB1, keys: {a: next}}`:                                  `f:1:4: the keyboard KB1 is that of "typed" already`,
		`p: {keyboard: F, keys: {a: next}, gauges: [far]}`:                     `f:1:44: there is no gauge "far"`,
		"p: {keyboard: F, keys: {a: next}}\nq: {keyboard: F, keys: {a: next}}": `f:2:4: the keyboard F is that of "p" already`,
	} {
		if _, err := readSwitches(t, content); err == nil || err.Error() != want {
			t.Errorf("%s\n got %v\nwant %s", content, err, want)
		}
	}
}

// TestSwitchPresses: each press is an event of its meaning, and the states are
// those of a gauge.
func TestSwitchPresses(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var presses []gauge.Meaning
		r := &rig{t: t, present: true}
		sup := NewSwitch(Switch{ID: "pedal", Keyboard: "FS1"}, nil, func(e Event) {
			if e.Press != nil {
				presses = append(presses, e.Press.Means)
			}
			r.sink(e)
		}, slog.New(slog.DiscardHandler))
		sup.dialer, r.sup = r, sup
		sup.lanes[0].gauge.Layout = &Layout{Pause: time.Second}
		ctx, cancel := context.WithCancel(t.Context())
		done := make(chan struct{})
		go func() { defer close(done); sup.Run(ctx) }()
		synctest.Wait()
		r.send("\x00\x02")
		r.send("\x01")
		r.line(false, nil)
		r.hangUp()
		r.pass(time.Minute)
		if got := told(r.seen()[len(r.seen())-1].State.Reason); got != `the keyboard with the USB serial number "FS1" is not there: plug the gauge in` {
			t.Errorf("reason %q", got)
		}
		cancel()
		<-done
		if len(presses) != 3 || presses[0] != gauge.MeansCapture || presses[1] != gauge.MeansNext || presses[2] != gauge.MeansDiscard {
			t.Errorf("presses %q", presses)
		}
	})
}
