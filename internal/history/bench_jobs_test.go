package history_test

import (
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/history"
)

// manyJobs is a history of n jobs, one a minute: of a thousand units, two procedures and two
// people, of whom one started one job in a thousand. Those were measured with a gauge of their
// own, and do not conform; the last hundred have no verdict yet.
func manyJobs(b *testing.B, n uint64) *history.Store {
	b.Helper()
	s := fillJobs(b, filepath.Join(b.TempDir(), "history.db"), n)
	b.Cleanup(func() { _ = s.Close() })
	return s
}

// fillJobs writes these jobs into a new history.
func fillJobs(b *testing.B, path string, n uint64) *history.Store {
	b.Helper()
	s := openPlain(b, path)
	facts, seq := []gauge.Fact{}, uint64(0)
	add := func(f gauge.Fact) {
		seq++
		f.Seq = seq
		facts = append(facts, f)
	}
	procedures := [2]string{}
	for i := range procedures {
		content := fmt.Appendf(nil, "procedure %d", i)
		procedures[i] = gauge.HashContent(content)
		add(gauge.Fact{File: &gauge.File{Hash: procedures[i], Kind: "procedure", Name: fmt.Sprintf("procedure-%d", i), Content: content}})
	}
	for job := uint64(1); job <= n; job++ {
		at := start.Add(time.Duration(job) * time.Minute)
		fact := func(kind, by, data string) {
			add(gauge.Fact{Job: &gauge.JobFact{Job: job, Kind: kind, Time: at, By: by, Data: []byte(data)}})
		}
		rare := job%1000 == 0
		by, outcome := "Ann", "conforms"
		if rare {
			by, outcome = "Ben", "does not conform"
		}
		fact("started", by, fmt.Sprintf(`{"unit_serial":"unit %d","procedure_hash":%q,"labels":{"order":"A-%d","customer":"customer %d"}}`, job%1000, procedures[job%2], job/20, job%3))
		if rare {
			add(gauge.Fact{Reading: &gauge.Reading{Gauge: "rare", Number: job / 1000, Time: at, Shown: "1.000", Unit: gauge.Millimetre, Value: gauge.Millimetre.Size(), Status: gauge.StatusOK}})
			fact("taken", by, fmt.Sprintf(`{"reading":%d}`, seq))
		}
		if job+100 <= n {
			fact("verdict", "", fmt.Sprintf(`{"outcome":%q}`, outcome))
			fact("closed", by, "{}")
		}
		if len(facts) >= 5000 || job == n {
			if err := s.Append(b.Context(), facts); err != nil {
				b.Fatal(err)
			}
			facts = facts[:0]
		}
	}
	return s
}

// BenchmarkJobNumbers chooses a page out of a million jobs: the newest ones, by each filter
// alone, and by several together.
func BenchmarkJobNumbers(b *testing.B) {
	n := uint64(1_000_000)
	if testing.Short() {
		n = 5000
	}
	s := manyJobs(b, n)
	old := gauge.Times{Since: start.Add(time.Hour), Until: start.Add(40 * time.Hour)}
	for _, c := range []struct {
		name string
		q    gauge.JobQuery
	}{
		{"newest", gauge.JobQuery{}},
		{"last-page", gauge.JobQuery{Before: 101}},
		{"unit", gauge.JobQuery{Unit: "unit 7"}},
		{"order", gauge.JobQuery{Labels: map[string]string{"order": "a 7"}}},
		{"customer-and-order", gauge.JobQuery{Labels: map[string]string{"order": "A7", "customer": "Customer-1"}}},
		{"customer", gauge.JobQuery{Labels: map[string]string{"customer": "Customer-1"}}},
		{"open", gauge.JobQuery{Open: true}},
		{"measuring", gauge.JobQuery{Outcome: "measuring"}},
		{"verdict", gauge.JobQuery{Outcome: "does not conform"}},
		{"procedure", gauge.JobQuery{Procedure: "procedure-1"}},
		{"gauge", gauge.JobQuery{Gauge: "rare"}},
		{"person", gauge.JobQuery{By: "Ben"}},
		{"time", gauge.JobQuery{Times: old}},
		{"until", gauge.JobQuery{Times: gauge.Times{Until: old.Until}}},
		{"since", gauge.JobQuery{Times: gauge.Times{Since: old.Since}}},
		{"verdict-and-until", gauge.JobQuery{Outcome: "does not conform", Times: gauge.Times{Until: start.Add(2000 * time.Hour)}}},
		{"rare-person-and-verdict", gauge.JobQuery{By: "Ben", Outcome: "does not conform"}},
		{"verdict-and-time", gauge.JobQuery{Outcome: "conforms", Times: old}},
		{"person-and-time", gauge.JobQuery{By: "Ann", Times: old}},
		{"person-and-verdict", gauge.JobQuery{By: "Ann", Outcome: "does not conform"}},
		{"all", gauge.JobQuery{By: "Ben", Gauge: "rare", Outcome: "does not conform", Procedure: "procedure-0", Times: old}},
	} {
		b.Run(c.name, func(b *testing.B) {
			c.q.Limit = 101
			for b.Loop() {
				jobs, err := s.JobNumbers(b.Context(), c.q)
				if err != nil || len(jobs) == 0 && c.name != "person-and-verdict" {
					b.Fatal(len(jobs), err)
				}
			}
		})
	}
}
