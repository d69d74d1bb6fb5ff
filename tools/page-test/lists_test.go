//go:build page

package pagetest

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// TestJobsAreFound: the list of jobs is searched by each of its fields and all of them, has a
// next page, and is downloaded whole; axe finds nothing on it.
func TestJobsAreFound(t *testing.T) {
	b := newBench(t)
	b.wholeJob() // job 1, of demo
	b.gaugectl("job", "label", "1", "order=A-1042")
	s := b.newScreen("en")
	s.open("/")
	if n := see(s, chromedp.Evaluate[int](`(async () => {
		let begun = 0;
		for (let i = 0; i < 104; i++) {
			const answer = await fetch("/jobs", { method: "POST", redirect: "manual", body: new URLSearchParams({ procedure: "ring", serial: "=U+" + i, technician: "Ann", sure: "1" }) });
			if (answer.type === "opaqueredirect") begun++;
		}
		return begun;
	})()`, chromedp.EvalAwaitPromise)); n != 104 {
		t.Fatalf("%d jobs began", n)
	}
	s.open("/jobs")
	rows := func(n int, first string) {
		t.Helper()
		s.until(fmt.Sprintf(`document.querySelectorAll("main tbody tr").length === %d && document.querySelector("main tbody a").textContent === %q`, n, first))
	}
	rows(100, "105")
	s.look("jobs")
	s.touch(`a[rel="next"]`)
	rows(5, "5")
	s.touch(`a[rel="prev"]`)
	rows(100, "105")
	today := time.Now().Format(time.DateOnly)
	fields := []struct{ field, value string }{{"outcome", "conforms"}, {"procedure", "ring"}, {"gauge", "indicator"}, {"person", "DEMO"}, {"since", today}, {"until", today}, {"serial", "l2 0417"}, {"order", "a1042"}}
	for i, all := range [][]struct{ field, value string }{fields[:1], fields[2:3], fields[3:4], fields[6:7], fields[7:], fields} {
		s.open("/jobs")
		for _, f := range all {
			s.choose(fmt.Sprintf("form.filter [name=%s]", f.field), f.value)
		}
		s.touch("form.filter button")
		s.until(`location.search !== ""`)
		rows(1, "1")
		s.shows("main tbody", "Conforms", "L2-0417", "demo")
		s.accessible(fmt.Sprintf("jobs searched %d", i))
	}
	s.open("/jobs?person=Ann&outcome=conforms")
	s.shows("main tbody", "No job found.")
	s.touch(`form.filter a[href="/jobs"]`)
	rows(100, "105")
	table := strings.Split(strings.TrimSpace(string(b.fetch(value[string](s, `document.querySelector("main a[href*='jobs.csv']").getAttribute("href")`)))), "\n")
	if len(table) != 106 || !strings.HasPrefix(table[1], "105,'=U+103,") || !strings.Contains(table[105], "L2-0417") {
		t.Errorf("%d lines: %s ... %s", len(table), table[:2], table[len(table)-1])
	}
}

// crowd are gauges beside those of the station: read by eye, with a plan and never checked.
func crowd(n int) []string {
	gauges, checks := "", ""
	for i := range n {
		gauges += fmt.Sprintf("  mic-%02d: {title: Micrometer %d on the wall, typed: yes, unit: mm, resolution: 0.01, error: 0.004}\n", i, i)
		if i%3 == 0 {
			checks += fmt.Sprintf("  mic-%02d: {every_days: 30, at: [zero], repeats: 2, both_ways: no, when_due: warn}\n", i)
		}
	}
	return []string{"masters:\n", gauges + "masters:\n", "checks:\n", "checks:\n" + checks}
}

// TestFortyGauges: at 1280 by 800 what is to be done with 40 gauges stands on top, the worst
// first; nothing overlaps or is wider than the screen, and five screens have all of them.
func TestFortyGauges(t *testing.T) {
	b := newBench(t, crowd(36)...)
	b.gaugectl("master", "standing", "mic-35", "suspect", "--reason", "fell from the bench")
	for _, language := range []string{"en", "de"} {
		s := b.newScreen(language)
		s.open("/gauges")
		s.until(`document.querySelectorAll("#list article").length === 40`)
		if first, task := s.text("#list article h2"), s.text("#summary tbody tr"); !strings.HasPrefix(first, "mic-35") || !strings.HasPrefix(task, "mic-35") {
			t.Errorf("%s: the first is %s, to do is %s", language, first, task)
		}
		s.fits("40 gauges, " + language)
		s.accessible("40 gauges, " + language)
		s.keep("gauges-40-"+language+".png", see(s, chromedp.FullScreenshot(100)))
		found := value[[]string](s, `(() => {
			const found = [], all = [...document.querySelectorAll("#summary, #list article")], boxes = all.map((e) => e.getBoundingClientRect());
			boxes.forEach((a, i) => boxes.forEach((c, j) => {
				if (j < i && Math.max(a.left - c.right, c.left - a.right, a.top - c.bottom, c.top - a.bottom) < 0) found.push(all[i].id + all[i].ariaLabelledByElements?.[0]?.id + " over another");
			}));
			all.forEach((e, i) => { if (e.scrollWidth > e.clientWidth + 1) found.push("wider than its card: " + e.innerText.slice(0, 40)); });
			if (document.documentElement.scrollHeight > 5 * 800) found.push("it is " + document.documentElement.scrollHeight + " points long");
			return found;
		})()`)
		if len(found) > 0 {
			t.Errorf("%s: %s", language, strings.Join(found, "; "))
		}
	}
}
