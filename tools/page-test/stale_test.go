//go:build page

package pagetest

import (
	"bytes"
	"encoding/hex"
	"fmt"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// told is how soon the page says that what it shows is not live any more.
const told = 2 * time.Second

// working is a job at a step, worked on with the indicator, and its page.
type working struct {
	*screen
	cable *cable
}

// steps of a job, and how one comes there from the one before.
var jobSteps = []struct {
	name string
	live bool // a gauge is due
	come func(working)
}{
	{"cautions", false, func(w working) { w.shows("#cautions", "Wear goggles") }},
	{"measure", true, func(w working) { w.acknowledge(); w.shows("#live", "25.210", "live") }},
	{"again", true, func(w working) { w.touch("#take"); w.shows("#step", "2 of 2"); w.shows("#live", "live") }},
	{"typed", false, func(w working) { w.touch("#take"); w.shows("#step", "Height of the cover") }},
	{"fit", false, func(w working) { w.typed("23.458"); w.shows("#step", "Fit R160") }},
	{"proof", true, func(w working) {
		w.touch("#fit")
		w.shows("#step", "End play with the ring")
		w.hands("set indicator 0.152")
		w.shows("#live", "0.152", "live")
	}},
	{"verdict", false, func(w working) { w.touch("#take"); w.shows("#step", "Conforms") }},
}

// newWork is a job at its cautions.
func newWork(b *bench) working {
	b.Helper()
	b.hands("set indicator 25.210")
	w := working{screen: b.newScreen("en")}
	w.cable = w.onCable()
	b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0417", "--gauge", "depth=indicator", "--gauge", "end_play=indicator")
	w.open("/jobs/1")
	w.refusals(true)
	return w
}

// lost waits until the page says that it has no connection, and returns how long
// that took. Digits that are shown are struck then, and the key does nothing.
func (w working) lost(began time.Time, step string) time.Duration {
	w.Helper()
	w.there("#lost")
	took := time.Since(began)
	if !value[bool](w.screen, `[...document.querySelectorAll("#live .digits")].filter((e) => e.checkVisibility()).every((e) => getComputedStyle(e).textDecorationLine === "line-through")`) {
		w.Errorf("%s: the digits look live", step)
	}
	if !value[bool](w.screen, `[...document.querySelectorAll("#live .from")].every((e) => !e.checkVisibility({visibilityProperty: true}))`) {
		w.Errorf("%s: the gauge is said to be live", step)
	}
	if !value[bool](w.screen, `[...document.querySelectorAll("#bar .key")].every((e) => getComputedStyle(e).borderStyle === "dashed")`) {
		w.Errorf("%s: the key looks alive", step)
	}
	return took
}

// keyTouched touches the one key all the same.
func (w working) keyTouched() {
	w.Helper()
	w.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("#bar .key")?.click()`))
}

// stopped reports whether the daemon's process stands still.
func (b *bench) stopped() bool {
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", b.daemon.Process.Pid))
	if err != nil {
		b.Fatal(err)
	}
	return strings.HasPrefix(string(stat[bytes.LastIndexByte(stat, ')')+1:]), " T")
}

// facts is the number of the last thing in the history.
func (b *bench) facts() string {
	b.Helper()
	return b.gaugectl("job", "show", "1", "--output", "json")
}

// TestStaleConnection: in each step of a job the daemon hangs, the cable is cut, and the
// daemon is killed. The page says so in time, its digits are struck, and nothing that was
// touched meanwhile is done later.
func TestStaleConnection(t *testing.T) {
	b := newBench(t)
	w := newWork(b)
	slowest := map[string]time.Duration{}
	note := func(fault string, took time.Duration) { slowest[fault] = max(slowest[fault], took) }
	for _, step := range jobSteps {
		step.come(w)
		w.settled()
		w.until(`document.querySelector("#lost").hidden`)
		before := b.facts()

		began := time.Now()
		if err := b.daemon.Process.Signal(syscall.SIGSTOP); err != nil {
			t.Fatal(err)
		}
		b.await("the daemon stands still", b.stopped)
		w.keyTouched() // before the page knows: it waits in the daemon
		note("hung", w.lost(began, step.name+", hung"))
		w.keyTouched()
		time.Sleep(time.Until(began.Add(4 * time.Second))) // this is how long it hangs
		if err := b.daemon.Process.Signal(syscall.SIGCONT); err != nil {
			t.Fatal(err)
		}
		w.until(`document.querySelector("#lost").hidden`)

		began = time.Now()
		w.cable.cut()
		note("cut", w.lost(began, step.name+", cut"))
		w.keyTouched()
		w.cable.mend()
		w.until(`document.querySelector("#lost").hidden`)

		began = time.Now()
		b.stop(syscall.SIGKILL)
		note("killed", w.lost(began, step.name+", killed"))
		w.keyTouched()
		b.start()
		w.until(`document.querySelector("#lost").hidden`)
		b.await("the gauge is back", func() bool { return strings.Contains(b.gaugectl("gauges"), "live") })
		if after := b.facts(); !same(before, after) {
			t.Errorf("%s: something was done:\n%s\nthen\n%s", step.name, before, after)
		}
		w.until(`!document.querySelector("#bar form[data-busy]")`)
		w.settled()
	}
	for fault, took := range slowest {
		t.Logf("%s: said after %s at most", fault, took.Round(10*time.Millisecond))
		if took > told {
			t.Errorf("%s: said only after %s", fault, took)
		}
	}
}

// same compares two jobs without what their gauges show.
func same(a, b string) bool {
	of := func(text string) string {
		_, after, _ := strings.Cut(text, `"evaluation"`)
		return after
	}
	return of(a) != "" && of(a) == of(b)
}

// TestStaleGauge: in each step that takes readings the gauge is unplugged, and falls
// silent. The bar says so in time, the digits are struck and the key does nothing.
func TestStaleGauge(t *testing.T) {
	b := newBench(t, "every: 50ms", "every: 24h") // its frames are sent here
	var shown atomic.Value
	shown.Store("25.210")
	stop, sending := make(chan struct{}), sync.WaitGroup{}
	var silent atomic.Bool
	sending.Go(func() {
		for tick := time.NewTicker(100 * time.Millisecond); ; {
			select {
			case <-stop:
				return
			case <-tick.C:
				if !silent.Load() {
					_ = b.Do("send indicator " + hex.EncodeToString([]byte("+"+shown.Load().(string)+"\r\n"))) // not while it is unplugged
				}
			}
		}
	})
	t.Cleanup(func() { close(stop); sending.Wait() })
	w := newWork(b)
	for _, step := range jobSteps {
		if step.name == "proof" {
			shown.Store("0.152")
		}
		step.come(w)
		if !step.live {
			continue
		}
		for _, fault := range []struct {
			name     string
			do, mend func()
		}{
			{"unplugged", func() { b.hands("unplug indicator") }, func() { b.hands("plug indicator") }},
			{"silent", func() { silent.Store(true) }, func() { silent.Store(false) }},
		} {
			w.settled()
			w.until(`document.querySelector("#take:not([aria-disabled])")`)
			before := b.facts()
			began := time.Now()
			fault.do()
			w.there("#take[aria-disabled=true]")
			took := time.Since(began)
			w.shows("#notice", "No reading can be taken from indicator")
			w.until(`getComputedStyle(document.querySelector("#live .digits")).textDecorationLine === "line-through"`)
			w.keyTouched()
			if after := b.facts(); !same(before, after) {
				t.Errorf("%s, %s: something was done", step.name, fault.name)
			}
			t.Logf("%s, %s: said after %s", step.name, fault.name, took.Round(10*time.Millisecond))
			if took > told {
				t.Errorf("%s, %s: said only after %s", step.name, fault.name, took)
			}
			fault.mend()
		}
		w.there(`#take:not([aria-disabled])`)
		w.shows("#live", "live")
		w.settled()
	}
}
