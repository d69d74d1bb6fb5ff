//go:build page

package pagetest

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// startJob starts job 1 on the bench and opens its page, with the cautions read.
func (s *screen) startJob(gauges ...string) {
	s.Helper()
	args := []string{"job", "start", "ring", "--unit-serial", "L2-0417"}
	for _, g := range gauges {
		args = append(args, "--gauge", g)
	}
	s.gaugectl(args...)
	s.open("/jobs/1")
	s.acknowledge()
}

// begin starts job 1 from the first page: a code reader types the unit's serial
// number, and gauges are bound as pairs of a measurement and a gauge.
func (s *screen) begin(gauges ...string) {
	s.Helper()
	s.open("/")
	s.until(`document.activeElement.id === "serial"`)
	s.press("L2-0417" + kb.Enter)
	s.until(`document.activeElement.name === "procedure"`)
	s.touch("input[value=ring]")
	s.there("#start")
	s.fill("#technician", "demo")
	for i := 0; i < len(gauges); i += 2 {
		s.choose(fmt.Sprintf("select[name='gauge.%s']", gauges[i]), gauges[i+1])
	}
}

// acknowledge says that the cautions were read.
func (s *screen) acknowledge() {
	s.Helper()
	s.shows("#cautions", "Wear goggles")
	s.touch("#acknowledge")
	s.until(`!document.querySelector("#acknowledge")`)
}

// discardLast takes the last reading back for the first of the usual reasons.
func (s *screen) discardLast() {
	s.Helper()
	if !value[bool](s, `document.querySelector("#panel-readings").open`) {
		s.touch("#panel-readings summary")
	}
	s.touch("#discard summary")
	s.touch("#discard button[name=reason]")
	s.until(`document.querySelector("#repeats .struck")`) // its panel closes when the step is another one now
}

// closed waits until the page of the closed job is there, which nothing changes any more.
func (s *screen) closed() {
	s.Helper()
	s.until(`document.querySelector("#next-unit") && !document.body.dataset.stream?.startsWith("/jobs/") && document.readyState === "complete"`)
}

// tones keeps every tone that the page gives from now on, in window.tones.
func (s *screen) tones() {
	s.Helper()
	s.do(chromedp.Evaluate[chromedp.Void](`window.tones = [];
		new MutationObserver(() => { const tone = document.body.dataset.tone; if (tone) tones.push(tone); })
			.observe(document.body, { attributes: true, attributeFilter: ["data-tone"] })`))
}

// heard waits until the last tone is this one.
func (s *screen) heard(tone string) {
	s.Helper()
	s.until(fmt.Sprintf("window.tones.at(-1) === %q", tone))
	value[bool](s, "(window.tones = []).length === 0")
}

// pressed has a button gauge measure and send.
func (b *bench) pressed(gauge, value string) {
	b.Helper()
	b.hands("set "+gauge+" "+value, "press "+gauge)
}

// typed enters a reading by the keypad's field.
func (s *screen) typed(text string) {
	s.Helper()
	s.until(`document.querySelector("#keypad")`)
	if value[bool](s, `!document.querySelector("#step #keypad") && document.querySelector("#panel-type")?.open === false`) {
		s.touch("#type-instead")
	}
	s.fill("#pad-shown", text)
	s.touch("#enter")
}

// measured takes all readings before the choice: two depths and the cover.
func (s *screen) measured(depth, again, cover string) {
	s.Helper()
	s.pressed("depth", depth)
	s.shows("#repeats", depth)
	s.pressed("depth", again)
	s.shows("#repeats", again)
	s.shows("#step", "Height of the cover")
	s.typed(cover)
}

// floor presses the button on the floor, not sooner than a foot would that means it.
func (b *bench) floor() {
	b.Helper()
	time.Sleep(1100 * time.Millisecond) // a press that is sooner is an accident of the foot
	b.hands("press pedal")
}

// TestWholeJob: from the unit's serial number to the signed sheet, with a data
// button, the keypad, a foot switch and the large key.
func TestWholeJob(t *testing.T) {
	b := newBench(t)
	s := b.newScreen("en")
	s.begin("depth", "depth", "cover", "", "end_play", "indicator")
	if value[bool](s, `!!document.querySelector("select[name='gauge.cover'] option[value=pedal]")`) {
		t.Error("a button that is for something else is offered")
	}
	s.look("start-gauges")
	s.shows("#read", "Wear goggles")
	s.touch("#start") // which says that they were read
	s.until(`location.pathname === "/jobs/1"`)
	s.there("#live")
	s.tones()
	s.shows("#step", "Depth of the case", "Foot flat on the face")
	s.look("job-measure")

	s.pressed("depth", "24.700")
	s.heard("taken")
	s.shows("#repeats", "24.700")
	s.discardLast()
	s.look("job-readings")
	s.touch("#panel-readings summary")
	s.pressed("depth", "25.210")
	s.shows("#repeats", "25.210")
	s.pressed("depth", "25.214")
	s.heard("taken")
	s.shows("#step", "Height of the cover")
	s.look("job-typed")
	s.typed("23.460")

	s.shows("#step", "Fit R160", "0.152 mm")
	s.shows("#window", "R160", "R155", "R165", "out of stock", "Play")
	s.shows("#sum", "25.212 - 23.460")
	s.look("job-choose")
	s.touch("#panel-why summary")
	s.look("job-why")
	b.floor() // the panel may stay open: what is fitted is what the title says
	s.shows("#step", "End play with the ring")
	b.hands("set indicator 0.152")
	s.shows("#live", "0.152")
	s.look("job-verify")
	s.touch("#take")
	s.shows("#step", "Conforms", "0.152")
	s.look("job-decided")
	b.floor()
	s.closed()
	s.look("job-closed")
	b.reads("the PDF", b.fetch("/jobs/1/sheet.pdf"), onSheet...)
}

// TestOutOfStock: the ring that would be best is not there.
func TestOutOfStock(t *testing.T) {
	s := newBench(t).newScreen("en")
	s.startJob("depth=depth")
	s.measured("25.204", "25.206", "23.500")
	s.shows("#step", "R160", "Out of stock: R155")
	s.look("job-out-of-stock")
}

// TestNothingFits: no ring gives the play that is wanted.
func TestNothingFits(t *testing.T) {
	s := newBench(t).newScreen("en")
	s.startJob("depth=depth")
	s.measured("25.400", "25.402", "23.500")
	s.shows("#step", "No available part fits", "R165")
	s.until(`!document.querySelector("#fit")`)
	s.look("job-nothing-fits")
}

// TestWrongGauge: a reading of a gauge that is not due is not taken, which is
// heard and said.
func TestWrongGauge(t *testing.T) {
	b := newBench(t)
	s := b.newScreen("en")
	s.startJob("depth=depth", "cover=spare")
	s.tones()
	s.pressed("spare", "25.100")
	s.heard("refused")
	s.shows("#notice", "spare")
	s.look("job-wrong-gauge")
	if text := s.text("#repeats"); text != "" && containsNumber(text, "25.100") {
		t.Errorf("it was taken: %s", text)
	}
	s.pressed("depth", "25.210")
	s.heard("taken")
	s.shows("#repeats", "25.210")
}

// TestUnpluggedInJob: the gauge that is due goes away and comes back.
func TestUnpluggedInJob(t *testing.T) {
	b := newBench(t)
	b.hands("set indicator 25.210")
	s := b.newScreen("en")
	s.startJob("depth=indicator")
	s.shows("#live", "25.210", "live")
	b.hands("unplug indicator")
	s.shows("#live", "not plugged in")
	s.shows("#notice", "No reading can be taken from indicator: not plugged in")
	s.there("#take[aria-disabled=true]")
	s.look("job-unplugged")
	b.hands("plug indicator")
	s.shows("#live", "live")
	s.there("#take:not([aria-disabled])")
	s.touch("#take")
	s.shows("#repeats", "25.210")
	b.hands("set indicator 25.212")
	s.shows("#live", "25.212")
	s.touch("#take")
	s.shows("#step", "Height of the cover")
	s.discardLast()
	s.until(`document.querySelector("#discard")?.open === false`) // a second touch discards no other one
}
