//go:build page

package pagetest

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// BenchmarkTwentyPages is what twenty open pages cost the daemon, each in a
// profile of its own, with a gauge that sends twenty times a second.
func BenchmarkTwentyPages(b *testing.B) {
	const watched = 10 * time.Second
	eachPlace(b, func(b *testing.B, p place) {
		t := newBench(b, "every: 50ms, unit: mm, value: 0.000", "every: 50ms, unit: mm, value: 0.000, noise: 0.005")
		idle := t.cost(watched)
		var screens []*screen
		for range 20 {
			s := p.opened(t)
			s.do(chromedp.Evaluate[chromedp.Void](`window.changes = 0;
				new MutationObserver(() => window.changes++).observe(document, { subtree: true, childList: true, characterData: true })`))
			screens = append(screens, s)
		}
		for _, s := range screens {
			s.do(chromedp.Evaluate[chromedp.Void](`window.changes = 0`))
		}
		began := time.Now()
		busy := t.cost(watched)
		slowest := 1e9
		for _, s := range screens {
			slowest = min(slowest, value[float64](s, "window.changes")/time.Since(began).Seconds())
		}
		if slowest < 5 {
			b.Errorf("a page changes only %.1f times a second", slowest)
		}
		b.ReportMetric(idle.cpu, "%cpu-without")
		b.ReportMetric(busy.cpu, "%cpu-with-20")
		b.ReportMetric(idle.rss, "MiB-without")
		b.ReportMetric(busy.rss, "MiB-with-20")
		b.ReportMetric(slowest, "changes/s-slowest")
	})
}

// cost is what a daemon takes of one processor, and its resident memory in MiB.
type cost struct{ cpu, rss float64 }

func (b *bench) cost(during time.Duration) cost {
	b.Helper()
	before := b.ticks()
	time.Sleep(during) // this is the time over which it is measured
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", b.daemon.Process.Pid))
	if err != nil {
		b.Fatal(err)
	}
	var rss float64
	for line := range strings.Lines(string(status)) {
		if _, err := fmt.Sscanf(line, "VmRSS: %f kB", &rss); err == nil {
			break
		}
	}
	return cost{cpu: (b.ticks() - before) / during.Seconds(), rss: rss / 1024}
}

// ticks returns the processor time of the daemon so far, in hundredths of a second.
func (b *bench) ticks() float64 {
	b.Helper()
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", b.daemon.Process.Pid))
	if err != nil {
		b.Fatal(err)
	}
	fields := strings.Fields(string(stat[strings.LastIndexByte(string(stat), ')')+1:]))
	user, err1 := strconv.ParseFloat(fields[11], 64)
	system, err2 := strconv.ParseFloat(fields[12], 64)
	if err1 != nil || err2 != nil {
		b.Fatal(err1, err2)
	}
	return user + system
}
