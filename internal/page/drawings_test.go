package page

import (
	"fmt"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/drift"
	"gauged/internal/page/drawn"
	"gauged/internal/station"
)

// TestPointsOfDrawingsLeadToTheirChecks: each check in the drawing of the errors leads to its
// row, on whichever part of the list that stands.
func TestPointsOfDrawingsLeadToTheirChecks(t *testing.T) {
	var days atomic.Int64
	r := newRig(t, func(o *station.Options) {
		o.Now = func() time.Time { return time.Now().AddDate(0, 0, int(days.Load())) }
	})
	for i := range entriesShown + 3 {
		days.Add(1)
		r.typedCheck(fmt.Sprintf("0.00%d", i%7))
	}
	page := r.has("/gauges/micrometer", nil, `<svg xmlns="http://www.w3.org/2000/svg" class="chart"`, `role="group"`)
	page = page[strings.Index(page, `id="drift-title"`):strings.Index(page, `id="control-title"`)]
	links := regexp.MustCompile(`<a href="(/gauges/micrometer\?[^"#]*)#(check-\d+)" aria-label="Check of [^"]*"`).FindAllStringSubmatch(page, -1)
	if len(links) != entriesShown+3 {
		t.Fatalf("%d links in %s", len(links), page)
	}
	for _, at := range []int{0, 2, 3, entriesShown + 2} {
		address := strings.ReplaceAll(links[at][1], "&amp;", "&")
		if strings.Contains(address, "checks=1") != (at < 3) {
			t.Errorf("the check %d is said to stand at %s", at, address)
		}
		r.has(address, nil, `<tr id="`+links[at][2]+`"`)
	}
	if german := r.has("/gauges/micrometer", []string{"Accept-Language", "de"}, "Prüfung vom "); !regexp.MustCompile(`>\d{1,2}\.\d{1,2}\.20\d\d</text>`).MatchString(german) {
		t.Error("dates are not written as people write them")
	}
}

// TestSignalsAreGrouped: what one chart says many times is one line, the newest first.
func TestSignalsAreGrouped(t *testing.T) {
	day := func(n int) time.Time { return time.Date(2026, 1, n, 12, 0, 0, 0, time.UTC) }
	signal := func(chart, code string, n int) drift.Signal {
		return drift.Signal{Chart: chart, Check: n, Time: day(n), What: gauge.Say(code)}
	}
	groups := drawn.Signals(&drift.Charts{Signals: []drift.Signal{
		signal("CUSUM", "a", 1), signal("individuals", "b", 2), signal("CUSUM", "a", 3), signal("CUSUM", "c", 4), signal("individuals", "b", 5), signal("CUSUM", "a", 6),
	}})
	var got []string
	for _, g := range groups {
		got = append(got, fmt.Sprintf("%s %s %d to %d, %d times", g.Chart, g.What.Code, g.First.Day(), g.Time.Day(), g.Times))
	}
	if want := "CUSUM a 1 to 6, 3 times; individuals b 2 to 5, 2 times; CUSUM c 4 to 4, 1 times"; strings.Join(got, "; ") != want {
		t.Errorf("%s, want %s", strings.Join(got, "; "), want)
	}
}
