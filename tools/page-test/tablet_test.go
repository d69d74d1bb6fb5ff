//go:build page

package pagetest

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// torn are the words of tables that break inside without a hyphen, and the tables that are wider
// than their place.
const torn = `(() => {
	const letter = /[\p{L}\p{N}]/u, found = [];
	for (const place of document.querySelectorAll("main .scroll:has(table.stack)"))
		if (place.scrollWidth > place.clientWidth + 1) found.push("wider than its place: " + place.innerText.slice(0, 40));
	for (const cell of document.querySelectorAll("table.stack :is(td, th)")) {
		if (!cell.checkVisibility()) continue;
		const texts = document.createTreeWalker(cell, NodeFilter.SHOW_TEXT);
		for (let text; (text = texts.nextNode());) {
			const top = (i) => { const range = new Range(); range.setStart(text, i); range.setEnd(text, i + 1); return [...range.getClientRects()].at(-1)?.top; };
			for (let i = 1; i < text.length; i++)
				if (letter.test(text.data[i - 1]) && letter.test(text.data[i]) && Math.abs(top(i) - top(i - 1)) > 2) found.push(text.data.trim() + " breaks before " + text.data.slice(i));
		}
	}
	return found;
})()`

// headLines is how high the head of the page is in keys.
const headLines = `Math.round(document.querySelector(".top").getBoundingClientRect().height / 73)`

// TestTablet: on a tablet held upright the lists break no word and are not wider than the
// screen, the head is one line, and nothing lies over a hint or an instruction.
func TestTablet(t *testing.T) {
	for _, language := range []string{"en", "de"} {
		t.Run(language, func(t *testing.T) {
			b := newBench(t)
			s := b.newScreen(language)
			s.do(chromedp.EmulateViewport(768, 1024))
			b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0417")
			b.gaugectl("job", "close", "1", "--reason", "tried out")
			b.gaugectl("job", "start", "ring", "--unit-serial", "L2-0418")
			for _, path := range []string{"/jobs", "/gauges", "/", "/procedures"} {
				s.open(path)
				for _, found := range value[[]string](s, torn) {
					t.Errorf("%s: %s", path, found)
				}
				if lines := value[int](s, headLines); lines != 1 {
					t.Errorf("%s: the head has %d lines", path, lines)
				}
			}
			s.open("/")
			s.until(`document.activeElement.id === "serial"`)
			if over := value[bool](s, `(() => {
				const field = document.querySelector("#serial"), style = getComputedStyle(field);
				const ring = parseFloat(style.outlineWidth) + parseFloat(style.outlineOffset);
				return field.getBoundingClientRect().top - ring < field.labels[0].querySelector("small").getBoundingClientRect().bottom - 2;
			})()`); over {
				t.Error("the mark of the field lies over its hint")
			}
			s.open("/jobs/2")
			s.settled()
			s.touch("#acknowledge")
			s.there("#bar #enter")
			s.until(`document.querySelector("#keypad").getBoundingClientRect().top - document.querySelector("#step .how > p").getBoundingClientRect().bottom >= 5`)
			if lines := value[int](s, headLines); lines != 1 {
				t.Errorf("the head of a job has %d lines", lines)
			}
			s.fits("tablet")
		})
	}
}
