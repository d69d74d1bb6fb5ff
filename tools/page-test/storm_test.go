//go:build page

package pagetest

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// rests is how long nothing acts in a region that has changed, in ms.
const rests = 800

// latest is how long after the first of two touches the second comes at most, in ms.
const latest = 900

// acting notes in each document, for as long as its tab lives, what is touched, what
// that does, and what changes on the screen, each with its time in ms.
const acting = `(() => {
	const region = (e) => e?.closest?.("#bar, #step, #more, #told")?.id ?? "";
	const note = (kind, where, what, at = performance.timeOrigin + performance.now()) => {
		const all = JSON.parse(sessionStorage.storm ?? "[]");
		all.push({ At: at, Kind: kind, Where: where, What: what });
		sessionStorage.storm = JSON.stringify(all);
	};
	const written = (e) => (e?.outerHTML ?? "").slice(0, 120);
	note("page", "", location.pathname);
	addEventListener("pointerdown", (e) => note("down", region(e.target), written(e.target.closest?.("button, summary, a")), performance.timeOrigin + e.timeStamp), true);
	addEventListener("click", (e) => {
		const key = e.target.closest?.("summary, a[href]");
		if (key && !e.defaultPrevented) note("act", region(key), written(key));
	});
	const ask = window.fetch;
	window.fetch = async (to, how, ...more) => {
		const answer = ask(to, how, ...more);
		if (how?.method === "POST") {
			const sent = performance.timeOrigin + performance.now();
			answer.then((r) => r.ok && note("act", "", new URL(to, location.href).pathname + "?" + how.body, sent), () => {});
		}
		return answer;
	};
	new MutationObserver((all) => {
		for (const m of all) for (const e of m.addedNodes) if (["bar", "step", "more"].includes(e.id)) note("change", e.id, "");
	}).observe(document, { subtree: true, childList: true });
})()`

// noted is one thing that acting noted.
type noted struct {
	At                float64
	Kind, Where, What string
}

// storm is one screen on which a job after the other is worked on with double touches.
type storm struct {
	*screen
	random    *rand.Rand
	job       int
	touched   int      // double touches that the page met
	met       int      // of these the second met something that had just changed
	acts      int      // that the first touch did, so that it is known that something happens
	accidents []string // that the second did
}

func (b *bench) newStorm(seed uint64, wide, high int64) *storm {
	b.Helper()
	s := &storm{screen: b.newScreen("en"), random: rand.New(rand.NewPCG(seed, 2))}
	s.refusals(true)
	s.do(chromedp.EmulateViewport(wide, high),
		command(page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: acting}))
	return s
}

// next opens a new job.
func (s *storm) next(b *bench, jobs *sync.Mutex) {
	s.Helper()
	jobs.Lock()
	started := b.gaugectl("job", "start", "ring", "--unit-serial", fmt.Sprintf("L2-%d", s.random.IntN(1e9)), "--gauge", "*=indicator")
	jobs.Unlock()
	var digits string
	for _, word := range strings.FieldsFunc(started, func(r rune) bool { return r < '0' || r > '9' }) {
		digits = word
		break
	}
	if _, err := fmt.Sscan(digits, &s.job); err != nil {
		s.Fatalf("%v: %s", err, started)
	}
	s.open(fmt.Sprintf("/jobs/%d", s.job))
}

// keys fills in what a key needs, and returns the middle of one that can be touched:
// the one of the bar more often than another. It is empty where there is none.
const keys = `((turn, other) => {
	for (const [id, text] of [["pad-shown", "23.460"], ["close-reason", "x"], ["give-up-reason", "x"], ["other-why", "x"], ["discard-other", "x"]]) {
		const field = document.getElementById(id);
		if (field) field.value = text;
	}
	const seen = (e) => {
		e.scrollIntoView({ block: "nearest", behavior: "instant" });
		const box = e.getBoundingClientRect(), x = box.x + box.width / 2, y = box.y + box.height / 2, top = document.elementFromPoint(x, y);
		return top && e.contains(top) ? [x, y] : null;
	};
	const bar = document.querySelector("#bar .key");
	const at = bar && !other && seen(bar);
	if (at) return at;
	const all = [...document.querySelectorAll("main button, main summary, #sure, main a.key")]
		.filter((e) => e.checkVisibility() && !["close-unfinished"].includes(e.form?.id)).map(seen).filter((p) => p);
	return all.length ? all[Math.floor(turn * all.length)] : [];
})(%v, %v)`

// down presses and lifts at one point.
func (s *storm) down(at []float64, held time.Duration) {
	s.Helper()
	one := func(kind input.DispatchMouseEventType) chromedp.Action[chromedp.Void] {
		return command(input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: kind, X: at[0], Y: at[1], Button: input.MouseButtonLeft, ClickCount: 1})
	}
	s.do(one(input.DispatchMouseEventTypeMousePressed))
	time.Sleep(held)
	s.do(one(input.DispatchMouseEventTypeMouseReleased))
}

// touchTwice touches a random key twice, and notes what the second touch did to what
// had taken the place of the first less than the rest before.
func (s *storm) touchTwice() {
	s.Helper()
	if s.random.IntN(5) > 0 { // else while something still rests
		s.settled()
	}
	at := value[[]float64](s.screen, fmt.Sprintf(keys, s.random.Float64(), s.random.IntN(3) == 0))
	if len(at) != 2 {
		return
	}
	s.do(chromedp.Evaluate[chromedp.Void](`sessionStorage.storm = "[]"`))
	began := time.Now()
	s.down(at, time.Duration(20+s.random.IntN(30))*time.Millisecond)
	time.Sleep(time.Duration(50+s.random.IntN(latest-49))*time.Millisecond - time.Since(began))
	s.down(at, time.Duration(20+s.random.IntN(200))*time.Millisecond)
	s.until(`document.readyState === "complete" && document.body?.dataset.ready === "" && !document.querySelector("form[data-busy]")`)
	s.judge(value[[]noted](s.screen, `JSON.parse(sessionStorage.storm ?? "[]")`))
}

// judge finds the acts of the second touch that are accidents.
func (s *storm) judge(all []noted) {
	var downs []noted
	for _, n := range all {
		if n.Kind == "down" {
			downs = append(downs, n)
		}
	}
	if len(downs) != 2 || downs[1].At-downs[0].At > latest {
		return // the second met no page at all, or came later than it should
	}
	second := downs[1]
	var changed float64
	for _, n := range all {
		here := n.Kind == "page" || n.Kind == "change" && (n.Where == second.Where || second.Where == "told")
		if here && n.At > downs[0].At && n.At < second.At {
			changed = max(changed, n.At)
		}
	}
	s.touched++
	if changed > 0 && second.At-changed < rests {
		s.met++
	}
	for _, n := range all {
		switch {
		case n.Kind != "act":
		case n.At < second.At:
			s.acts++
		case changed > 0 && second.At-changed < rests || n.Where != "" && downs[0].What != second.What:
			s.accidents = append(s.accidents, fmt.Sprintf("job %d: %.0f ms after the first touch, %.0f ms after a change: %s\nfirst: %s\nthen: %s",
				s.job, second.At-downs[0].At, second.At-changed, n.What, downs[0].What, second.What))
		}
	}
}

// run touches until the page has met a number of double touches.
func (s *storm) run(b *bench, jobs *sync.Mutex, touches int) {
	for i := 0; s.touched < touches; i++ {
		if i%30 == 0 || !value[bool](s.screen, fmt.Sprintf(`location.pathname === "/jobs/%d" && !!document.body.dataset.stream?.startsWith("/jobs/")`, s.job)) {
			s.next(b, jobs)
		}
		s.touchTwice()
	}
}

// stormed has several screens worked on at once, at sizes of a bench and a phone, and
// returns the sum of what they met.
func stormed(t testing.TB, screens, touches int) (sum storm) {
	t.Helper()
	b := newBench(t)
	b.hands("set indicator 25.210")
	var jobs sync.Mutex
	var all []*storm
	for i := range screens {
		if i%3 == 2 {
			all = append(all, b.newStorm(uint64(i), 360, 740))
		} else {
			all = append(all, b.newStorm(uint64(i), 1280, 800))
		}
	}
	var running sync.WaitGroup
	for _, s := range all {
		running.Go(func() { s.run(b, &jobs, touches) })
	}
	running.Wait()
	for _, s := range all {
		sum.touched += s.touched
		sum.met += s.met
		sum.acts += s.acts
		sum.accidents = append(sum.accidents, s.accidents...)
	}
	for _, a := range sum.accidents {
		t.Error(a)
	}
	return sum
}

// TestStorm: the second of two touches does nothing to what has taken the place of
// what the first one met.
func TestStorm(t *testing.T) {
	if sum := stormed(t, 3, 20); sum.acts < 10 || sum.met < 5 {
		t.Errorf("only %d first touches did something, and %d second ones met something that had just changed", sum.acts, sum.met)
	}
}

// BenchmarkStorm is the same 10,000 times.
func BenchmarkStorm(b *testing.B) {
	for b.Loop() {
		sum := stormed(b, 16, 625)
		b.ReportMetric(float64(sum.touched), "double-touches")
		b.ReportMetric(float64(sum.met), "met-a-change")
		b.ReportMetric(float64(sum.acts), "acts")
		b.ReportMetric(float64(len(sum.accidents)), "accidents")
	}
	b.ReportMetric(0, "ns/op")
}
