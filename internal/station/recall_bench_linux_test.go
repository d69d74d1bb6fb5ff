package station

import (
	"flag"
	"syscall"
	"testing"
	"time"

	"gauged/internal/health/recall"
)

var recallJobs = flag.Int("recall-jobs", 1_000_000, "jobs of the history of BenchmarkRecallLong; 10000 with -short")

// BenchmarkRecallLong recalls gauges of a history of a million jobs, or as many
// as -recall-jobs says, with nine facts or more and four readings or more each.
// Who measured what was drawn, and so was each reading. The three gauges state an
// error of 4 um, so that each verdict needs a Monte Carlo run: strict measured 1 %
// of the jobs, remote 1 % with five readings of the play, whose scatter makes
// each job's budget another, probe 10 %. What is measured is Station.Recall from
// the request to the sorted list, with the history's file in the system's cache;
// building the history is not. cpu-s are seconds of all
// processors, which others that use the machine do not lengthen as much.
func BenchmarkRecallLong(b *testing.B) {
	if testing.Short() {
		*recallJobs = 10_000
	}
	r := newRig(b)
	r.check("strict", r.at("strict", "block", "25.000"))
	r.guarded("0.150")
	guarded := r.lastJob
	other := r.start(map[string]string{"depth": "far", "end_play": "far"}).ID
	for _, shown := range []string{"25.430", "25.430", "23.700"} {
		r.enter(other, shown)
	}
	r.fit(other)
	r.enter(other, "0.120")
	r.close(other, "done")
	c := newCopier(r, *recallJobs)
	for n := range *recallJobs {
		switch place := n % 100; {
		case place == 7:
			c.job(guarded, "strict", 1)
		case place == 57:
			c.job(guarded, "remote", 5)
		case place%10 == 3:
			c.job(guarded, "probe", 1)
		default:
			c.job(other, "far", 1)
		}
	}
	c.flush()
	e := mm("0.008")
	for _, g := range []struct {
		name, gauge string
		share       int
	}{{"1 percent", "strict", 100}, {"1 percent with five repeats", "remote", 100}, {"10 percent", "probe", 10}} {
		b.Run(g.name, func(b *testing.B) {
			busy := processorTime(b)
			for b.Loop() {
				got, err := r.Recall(b.Context(), recall.Request{Gauge: g.gauge, Error: &e})
				if err != nil || len(got.Items) < *recallJobs/g.share || got.Flipped == 0 || got.Undecided == 0 {
					b.Fatal(len(got.Items), got.Flipped, got.Undecided, err)
				}
				b.ReportMetric(float64(len(got.Items)), "jobs")
			}
			b.ReportMetric(b.Elapsed().Seconds()/float64(b.N), "s/recall")
			b.ReportMetric((processorTime(b)-busy).Seconds()/float64(b.N), "cpu-s/recall")
		})
	}
}

// processorTime is what the process has used so far.
func processorTime(b *testing.B) time.Duration {
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		b.Fatal(err)
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
