package station

import (
	"context"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/health/recall"
	"gauged/internal/job"
	"gauged/internal/lookback"
)

// BenchmarkRecall recalls a gauge that one in a hundred jobs of a history used.
// The jobs are copies of two that the station ran.
func BenchmarkRecall(b *testing.B) {
	for _, c := range []struct {
		name string
		jobs int
	}{{"10k jobs", 10_000}, {"100k jobs", 100_000}} {
		b.Run(c.name, func(b *testing.B) {
			if testing.Short() && c.jobs > 10_000 {
				b.Skip("a history of that length takes too long to make")
			}
			r := newRig(b)
			used := r.unit("25.430", "23.700", "0.120")
			other := r.start(map[string]string{"depth": "far", "end_play": "far"}).ID
			for _, shown := range []string{"25.430", "25.430", "23.700"} {
				r.enter(other, shown)
			}
			r.fit(other)
			r.enter(other, "0.120")
			r.close(other, "done")
			r.copyJobs(c.jobs, func(n int) uint64 {
				if n%100 == 0 {
					return used
				}
				return other
			})
			e := mm("0.030")
			for b.Loop() {
				got, err := r.Recall(b.Context(), recall.Request{Gauge: "dial", Error: &e})
				if err != nil || got.Flipped != len(got.Items) || len(got.Items) < c.jobs/100 {
					b.Fatal(len(got.Items), got.Flipped, err)
				}
				b.ReportMetric(float64(len(got.Items)), "used")
			}
			b.ReportMetric(b.Elapsed().Seconds()/float64(b.N), "s/recall")
		})
	}
}

// copyJobs appends jobs that are copies of those that of names, as if the station
// had run them.
func (r *rig) copyJobs(jobs int, of func(n int) uint64) {
	r.t.Helper()
	ctx := context.Background()
	seq, numbers := r.store.LastSeq(), map[string]uint64{}
	for _, g := range r.gauges {
		numbers[g.ID] = g.lastNumber
	}
	number, err := r.store.LastJob(ctx)
	if err != nil {
		r.t.Fatal(err)
	}
	var facts []gauge.Fact
	models := map[uint64][]gauge.Fact{}
	for n := range jobs {
		id := of(n)
		if models[id] == nil {
			if models[id], err = r.store.JobFacts(ctx, id); err != nil {
				r.t.Fatal(err)
			}
		}
		number++
		for _, f := range models[id] {
			copied := *f.Job
			copied.Job = number
			if f.Job.Kind == job.KindTaken {
				data, err := job.Unmarshal[job.TakenData](f.Job)
				if err != nil {
					r.t.Fatal(err)
				}
				stored, err := r.store.Reading(ctx, data.Reading)
				if err != nil {
					r.t.Fatal(err)
				}
				reading := *stored.Reading
				numbers[reading.Gauge]++
				reading.Number = numbers[reading.Gauge]
				seq++
				facts = append(facts, gauge.Fact{Seq: seq, Reading: &reading})
				data.Reading = seq
				copied.Data = job.Marshal(data)
			}
			seq++
			facts = append(facts, gauge.Fact{Seq: seq, Job: &copied})
		}
		if n%500 == 0 || n == jobs-1 {
			if err := r.store.Append(ctx, facts); err != nil {
				r.t.Fatal(err)
			}
			facts = facts[:0]
		}
	}
	r.mu.Lock()
	r.lastJob = number // the station is told of them
	r.mu.Unlock()
}

// BenchmarkWorkErrors reads 10 000 jobs for the first estimate: about a year of a
// busy bench.
func BenchmarkWorkErrors(b *testing.B) {
	r := newRig(b)
	s := newSimulated(r)
	s.unit(roles{"dial", "probe", "far"})
	r.copyJobs(10_000, func(int) uint64 { return 1 })
	for b.Loop() {
		r.Reader = lookback.New(r.store, r.Station, r.o.Now)
		if got, err := r.WorkErrors(b.Context()); err != nil || len(got) != 3 {
			b.Fatal(got, err)
		}
	}
}
