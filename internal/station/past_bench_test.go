package station

import (
	"context"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
)

// BenchmarkImport brings 15 times as many checks in as one import takes, and folds
// them all again, as a start does. Meanwhile others ask, one after the other: the longest
// wait is how long no reading is taken.
func BenchmarkImport(b *testing.B) {
	length := func(text string) gauge.Length { return gauge.MustLength(text, gauge.Millimetre) }
	found := []check.Stated{{
		Master: "block", Value: length("25"), Error: length("0.001"),
		Uncertainty: gauge.Expanded{Uncertainty: length("0.001"), K: 2 * gauge.One.Size()},
	}}
	for b.Loop() {
		r := newRig(b)
		first := r.clock().AddDate(-4, 0, 0)
		var slowest time.Duration
		others, stop := context.WithCancel(b.Context())
		waited := make(chan time.Duration)
		go func() {
			longest := time.Duration(0)
			for begin := time.Now(); r.do(others, func(*draft) error { return nil }) == nil; begin = time.Now() {
				longest = max(longest, time.Since(begin))
			}
			waited <- longest
		}()
		for part := range 15 {
			ask := health.ImportRequest{Gauge: "clock", By: "q"}
			for i := range 2000 {
				ask.Checks = append(ask.Checks, health.PastCheck{Time: first.Add(time.Duration(part*2000+i) * time.Hour), Found: found})
			}
			begin := time.Now()
			if _, problems, err := r.ImportChecks(b.Context(), ask); err != nil || len(problems) > 0 {
				b.Fatal(problems, err)
			}
			slowest = max(slowest, time.Since(begin))
		}
		stop()
		b.ReportMetric((<-waited).Seconds(), "s/longest-wait")
		begin := time.Now()
		if err := r.loadHealth(b.Context()); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(time.Since(begin).Seconds(), "s/start")
		b.ReportMetric(slowest.Seconds(), "s/slowest-import")
	}
}
