//go:build page

package pagetest

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// benchInch and phoneInch are how far the corners of a screen are apart, at a bench and of a phone.
const benchInch, phoneInch = 15.6, 6.1

// point is how many mm one point of a screen measures.
func point(inch float64, wide, high int64) float64 {
	return inch * 25.4 / math.Hypot(float64(wide), float64(high))
}

// near is the least height on a phone, in mm, of all that tall names: 16 minutes of arc at
// half a metre.
const near = 2.3

// tall are the least heights of a capital, or of a digit, in mm on that screen: 16
// minutes of arc at two metres (ISO 9241-303, from memory) for the title, the key and
// the verdict; the rest is ours.
var tall = []struct {
	selector string
	least    float64
}{{"#step h1", 9.5}, {"#bar .key", 9.5}, {"#step .how:not(#cautions)", 7}, {"#live .digits", 20}}

// caps measures capitals and digits that are shown, in points.
const caps = `((selector) => [...document.querySelectorAll(selector)].filter((e) => e.checkVisibility() && e.innerText.trim()).map((e) => {
	const style = getComputedStyle(e), pen = document.createElement("canvas").getContext("2d");
	pen.font = style.fontWeight + " " + style.fontSize + " " + style.fontFamily;
	return pen.measureText(selector.includes("digits") ? "0" : "H").actualBoundingBoxAscent;
}))(%q)`

// wide are the screens on which one sees everything without scrolling.
var wide = []struct{ wide, high int64 }{{1280, 800}, {1366, 768}, {1920, 1080}, {3840, 2160}}

// scrolled returns what would have to be scrolled to be seen whole.
const scrolled = `(() => {
	const root = document.documentElement, found = [];
	if (root.scrollHeight > root.clientHeight || root.scrollWidth > root.clientWidth) found.push("the page " + root.scrollHeight);
	for (const e of document.querySelectorAll("#step, #step *, #steps, #bar, #bar .key, #live, #more, .bench-way")) {
		if (!e.checkVisibility() || e.closest("svg") || e.closest(".up-body") || e.closest(".panel")) continue;
		const box = e.getBoundingClientRect();
		if (box.bottom > root.clientHeight + 1 || box.right > root.clientWidth + 1) found.push(e.outerHTML.slice(0, 60) + " ends at " + Math.round(box.bottom));
		if (["auto", "scroll"].includes(getComputedStyle(e).overflowY) && e.scrollHeight > e.clientHeight + 2) found.push(e.outerHTML.slice(0, 60) + " has " + e.scrollHeight + " in " + e.clientHeight);
	}
	const step = document.querySelector("#step").getBoundingClientRect(), live = document.querySelector("#live");
	for (const e of document.querySelectorAll("#step > *, .room > *")) if (e.getBoundingClientRect().bottom > step.bottom + 2) found.push(e.outerHTML.slice(0, 60) + " leaves the step");
	if (live.checkVisibility() && step.bottom > live.getBoundingClientRect().top + 2) found.push("the step covers the digits");
	return found;
})()`

// small returns the keys that are too small for a glove, or too near to another one.
const small = `(() => {
	const all = [...document.querySelectorAll("main button, main summary, main a.big, main a.key, .top nav a")].filter((e) => e.checkVisibility() && !e.closest(".up-body, .panel"));
	const found = [], box = all.map((e) => e.getBoundingClientRect());
	all.forEach((e, i) => {
		if (e.closest("#said") == null && (box[i].width < 59.5 || box[i].height < 59.5)) found.push(e.outerHTML.slice(0, 60) + " " + Math.round(box[i].width) + "x" + Math.round(box[i].height));
		for (let j = 0; j < i; j++) {
			if (innerWidth < 700 && !all[i].closest("#bar") !== !all[j].closest("#bar")) continue; // the bar stays, what is beside it moves under it
			const dx = Math.max(box[i].left - box[j].right, box[j].left - box[i].right), dy = Math.max(box[i].top - box[j].bottom, box[j].top - box[i].bottom);
			if (Math.max(dx, dy) < 11.5) found.push(e.outerHTML.slice(0, 50) + " is " + Math.round(Math.max(dx, dy)) + " from " + all[j].outerHTML.slice(0, 50));
		}
	});
	return found;
})()`

// seen looks over one step of the job at all sizes.
func (s *screen) seen(step string) {
	s.Helper()
	for _, size := range wide {
		s.do(chromedp.EmulateViewport(size.wide, size.high))
		if found := value[[]string](s, scrolled); len(found) > 0 {
			s.Errorf("%s, %dx%d: not all is seen: %s", step, size.wide, size.high, strings.Join(found, "; "))
			s.keep(fmt.Sprintf("unseen-%s-%d.png", step, size.wide), see(s, chromedp.FullScreenshot(100)))
		}
		if found := value[[]string](s, small); len(found) > 0 {
			s.Errorf("%s, %dx%d: too small or near: %s", step, size.wide, size.high, strings.Join(found, "; "))
		}
		s.tall(step, benchInch, size.wide, size.high, func(least float64) float64 {
			if size.wide != 1920 {
				return 0
			}
			return least
		})
	}
	s.do(chromedp.EmulateViewport(360, 740))
	if found := value[[]string](s, small); len(found) > 0 {
		s.Errorf("%s, on a phone: too small or near: %s", step, strings.Join(found, "; "))
	}
	s.fits(step + ", on a phone")
	s.tall(step, phoneInch, 360, 740, func(float64) float64 { return near })
	s.do(chromedp.EmulateViewport(1280, 800))
}

// tall measures what is read from afar on a screen of a size, and fails the test where it is
// lower than it should be.
func (s *screen) tall(step string, inch float64, wide, high int64, least func(float64) float64) {
	s.Helper()
	for _, of := range tall {
		for _, points := range value[[]float64](s, fmt.Sprintf(caps, of.selector)) {
			measured := points * point(inch, wide, high)
			s.Logf("%dx%d %s: %s %.1f mm", wide, high, step, of.selector, measured)
			if want := least(of.least); measured < want {
				s.Errorf("%s, %dx%d: %s is %.1f mm high, want %.1f", step, wide, high, of.selector, measured, want)
			}
		}
	}
}

// long are edits of the station: a drawing, an instruction of four lines, twelve steps.
var long = []string{
	"    how: Foot flat on the face. Press the data button.\n", "    how: Foot flat on the face, clear of the holes and the seal groove. Rock it a little until it stands still. Then press the data button.\n" +
		"    drawing: {alt: A depth gauge on the case, svg: '<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 640 350\"><path d=\"M20 20h600v310h-600z\" fill=\"none\" stroke=\"black\" stroke-width=\"4\"/></svg>'}\n",
	"gap: depth - cover\n", more() + "gap: depth - cover\n",
}

// more are nine more steps, after those of the station.
func more() (steps string) {
	for i := range 9 {
		steps += fmt.Sprintf("  more%d: {title: Depth of the bore %d, how: As before., instrument: depth gauge, plausible: {min: 20, max: 30}}\n", i, i+1)
	}
	return steps
}

// TestSeenFromAfar: in each step of a job, in both languages, what is read from two
// metres is high enough, nothing has to be scrolled, and keys are for a glove.
func TestSeenFromAfar(t *testing.T) {
	for _, language := range []string{"en", "de"} {
		t.Run(language, func(t *testing.T) {
			b := newBench(t)
			w := working{screen: b.newScreen(language)}
			b.hands("set indicator 25.210")
			b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0417", "--gauge", "depth=indicator", "--gauge", "end_play=indicator")
			w.open("/jobs/1")
			w.settled()
			w.seen(language + "-cautions")
			w.touch("#acknowledge")
			w.until(`!document.querySelector("#acknowledge")`)
			w.shows("#live", "25")
			w.settled()
			w.seen(language + "-measure")
			w.touch("#take")
			w.shows("#bar .last", "25")
			w.touch("#take")
			w.there("#bar #enter")
			w.settled()
			w.seen(language + "-typed")
			w.typed("23.458")
			w.there("#fit")
			w.settled()
			w.seen(language + "-fit")
			w.touch("#fit")
			w.hands("set indicator 0.152")
			w.until(`document.querySelector("#live")?.innerText.includes("152")`)
			w.settled()
			w.seen(language + "-proof")
			w.touch("#take")
			w.there("#sign")
			w.settled()
			w.seen(language + "-verdict")
			w.touch("#sign")
			w.there("#next-unit")
			w.settled()
			w.seen(language + "-closed")
		})
	}
}

// TestLongSeenFromAfar: the same with a drawing, a long instruction and twelve steps.
func TestLongSeenFromAfar(t *testing.T) {
	b := newBench(t, long...)
	b.hands("set indicator 25.210")
	s := b.newScreen("en")
	s.startJob("depth=indicator")
	s.there("#drawing img")
	s.settled()
	s.seen("long-measure")
}

// TestStepsStandStill: while the proof of a job of many steps is measured, and at its verdict,
// the strip shows the present step and is not scrolled.
func TestStepsStandStill(t *testing.T) {
	b := newBench(t, "gap: depth - cover\n", more()+"gap: depth - cover\n")
	b.hands("set indicator 25.210")
	s := b.newScreen("de")
	s.startJob("depth=indicator", "end_play=indicator")
	s.shows("#live", "25")
	s.touch("#take")
	s.shows("#bar .last", "25")
	s.touch("#take")
	s.shows("#step h1", "Height of the cover")
	s.typed("23.458")
	for i := range 9 {
		s.shows("#step h1", fmt.Sprintf("Depth of the bore %d", i+1))
		s.settled()
		s.typed("25")
	}
	s.there("#fit")
	s.settled()
	s.seen("long-fit")
	s.touch("#fit")
	s.hands("set indicator 0.152")
	s.until(`document.querySelector("#live")?.innerText.includes("152")`)
	s.settled()
	s.seen("long-proof")
	if now := s.text("#steps [aria-current]"); !strings.Contains(now, "End play") {
		t.Errorf("the strip shows %q as the present step", now)
	}
	if n := value[string](s, `document.querySelector("#steps [aria-current]").dataset.step`); n != "13" {
		t.Errorf("the present step has the number %s behind eleven and the part", n)
	}
	s.touch("#take")
	s.there("#sign")
	s.settled()
	s.seen("long-verdict")
}

// TestDiscardWithAGlove: out of nine readings any is discarded by keys of 60 px with 12 px
// between; the newest is the first of them, and is seen without scrolling.
func TestDiscardWithAGlove(t *testing.T) {
	b := newBench(t, "repeats: 2\n    agree: 0.030", "repeats: 9\n    agree: 0.030")
	s := b.newScreen("de")
	s.startJob("depth=depth")
	for i := range 8 {
		shown := fmt.Sprintf("25.2%d0", i)
		s.pressed("depth", shown)
		s.shows("#repeats", strings.Replace(shown, ".", ",", 1))
	}
	s.touch("#panel-readings > summary")
	s.touch("#discard > summary")
	s.settled()
	for _, size := range append(wide, struct{ wide, high int64 }{360, 740}) {
		s.do(chromedp.EmulateViewport(size.wide, size.high))
		if found := value[[]string](s, `(() => {
			const found = [], panel = document.querySelector("#repeats"), keys = [...document.querySelectorAll("#discard .picks label, #discard button, #discard input:not([type=radio]):not([type=hidden])")];
			panel.scrollTop = 0;
			const boxes = keys.map((e) => e.getBoundingClientRect());
			keys.forEach((e, i) => {
				if (boxes[i].width < 59.5 || boxes[i].height < 59.5) found.push(e.innerText + " is " + boxes[i].width + "x" + boxes[i].height);
				boxes.forEach((c, j) => {
					const a = boxes[i], dx = Math.max(a.left - c.right, c.left - a.right), dy = Math.max(a.top - c.bottom, c.top - a.bottom);
					if (j < i && Math.max(dx, dy) < 11.5) found.push(e.innerText + " is " + Math.max(dx, dy) + " from " + keys[j].innerText);
				});
			});
			const picks = keys.filter((e) => e.matches("label"));
			if (picks.length !== 8 || !picks[0].innerText.includes("25,270") || !picks[0].querySelector(":checked")) found.push("the first of " + picks.length + " is " + picks[0].innerText);
			if (innerWidth > 700 && boxes[keys.indexOf(picks[7])].bottom > panel.getBoundingClientRect().bottom) found.push("the oldest is not seen");
			return found;
		})()`); len(found) > 0 {
			t.Errorf("%dx%d: %s", size.wide, size.high, strings.Join(found, "; "))
		}
	}
	s.do(chromedp.EmulateViewport(1280, 800))
	s.touch("#discard .picks label:nth-of-type(3)")
	s.touch("#discard button[name=reason]")
	s.shows("#repeats .struck", "25,250 mm", "verworfen: Messmittel verrutscht")
}
