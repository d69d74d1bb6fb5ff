package history_test

import (
	"errors"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gauged/internal/gauge"
	"gauged/internal/history"
	"gauged/internal/historytest"
)

// TestBatches: three jobs, of which the first and the last took a reading of the dial.
func TestBatches(t *testing.T) {
	s := historytest.Open(t)
	step := func(seq, job uint64, kind, data string, hours int) gauge.Fact {
		f := gauge.Fact{Seq: seq, Job: &gauge.JobFact{Job: job, Kind: kind, Data: []byte(data)}}
		if hours >= 0 {
			f.Job.Time = start.Add(time.Duration(hours) * time.Hour)
		}
		return f
	}
	facts := []gauge.Fact{
		step(1, 1, "started", "{}", -1), reading(2, "dial", 1), step(3, 1, "taken", `{"reading":2}`, 1), step(4, 1, "verdict", "{}", 1),
		step(5, 2, "started", "{}", 2), step(6, 3, "started", "{}", 3), step(7, 1, "closed", "{}", 4), reading(8, "dial", 2),
		reading(9, "dial-2", 1), step(10, 2, "taken", `{"reading":9}`, 5), step(11, 3, "taken", `{"reading":8}`, 5), step(12, 3, "taken", `{"reading":8}`, 5),
		step(13, 2, "taken", `{"reading":8`, 5), step(14, 2, "discarded", `{"reading":8}`, 5),
	}
	mustAppend(t, s, facts...)
	ctx := t.Context()
	for _, c := range []struct {
		name        string
		gauge       string
		since       time.Time
		after, span uint64
		want        []gauge.Fact
	}{
		{"all", "dial", time.Time{}, 0, 10, []gauge.Fact{facts[0], facts[5]}},
		{"another gauge", "dial-2", time.Time{}, 0, 10, facts[4:5]},
		{"no such gauge", "probe", time.Time{}, 0, 10, nil},
		{"a span", "dial", time.Time{}, 0, 2, facts[:1]},
		{"the next span", "dial", time.Time{}, 2, 2, facts[5:6]},
		{"behind the last", "dial", time.Time{}, 3, 1 << 63, nil},
		{"since its time", "dial", start.Add(3 * time.Hour), 0, 10, facts[5:6]},
		{"later", "dial", start.Add(3*time.Hour + 1), 0, 10, nil},
		{"since before nanoseconds count", "dial", time.Date(1, 1, 2, 0, 0, 0, 0, time.UTC), 0, 10, []gauge.Fact{facts[0], facts[5]}},
	} {
		got, err := s.StartsWith(ctx, c.gauge, c.since, c.after, c.span)
		if diff := cmp.Diff(c.want, got); err != nil || diff != "" {
			t.Errorf("%s: %v\n%s", c.name, err, diff)
		}
	}
	for count, want := range [][]gauge.Fact{nil, facts[5:6], {facts[0], facts[5]}, {facts[0], facts[5]}} {
		got, err := s.RecentWith(ctx, "dial", count)
		if diff := cmp.Diff(want, got); err != nil || diff != "" {
			t.Errorf("newest %d: %v\n%s", count, err, diff)
		}
	}
	steps, err := s.StepsOf(ctx, []gauge.Fact{facts[5], facts[0]}, "verdict")
	if diff := cmp.Diff([][]gauge.Fact{{facts[5], facts[10], facts[11]}, {facts[0], facts[2], facts[6]}}, steps); err != nil || diff != "" {
		t.Errorf("steps: %v\n%s", err, diff)
	}
	read, err := s.ReadingsAt(ctx, []uint64{8, 2})
	if diff := cmp.Diff([]gauge.Fact{facts[7], facts[1]}, read); err != nil || diff != "" {
		t.Errorf("readings: %v\n%s", err, diff)
	}
	if _, err := s.ReadingsAt(ctx, []uint64{2, 3}); !errors.Is(err, history.ErrNotFound) || err.Error() != "read readings from history: reading 3: it is not in the history" {
		t.Errorf("a fact that is no reading: %v", err)
	}
}

// TestJobsOfEarlierHistories: the jobs of a gauge are found in a history that was
// written before they were noted, too.
func TestJobsOfEarlierHistories(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	s := historytest.OpenAt(t, path)
	begin := gauge.Fact{Seq: 1, Job: &gauge.JobFact{Job: 1, Kind: "started", Data: []byte("{}")}}
	mustAppend(t, s, begin, reading(2, "dial", 1),
		gauge.Fact{Seq: 3, Job: &gauge.JobFact{Job: 1, Kind: "taken", Data: []byte(`{"reading":2}`)}},
		gauge.Fact{Seq: 4, Job: &gauge.JobFact{Job: 1, Kind: "taken", Data: []byte("not JSON")}})
	closeStore(t, s)
	execSQL(t, path, `DROP TRIGGER job_gauges_note; DROP TABLE job_gauges; DROP VIEW fact_times; DROP TABLE spans; DROP TABLE jobs; DROP TABLE requests; DROP TABLE stretches;
		DROP INDEX gauge_facts_kind; DROP INDEX states_gauge;
		DROP TRIGGER jobs_start; DROP TRIGGER jobs_change; DROP TRIGGER jobs_close; DROP TRIGGER jobs_speak;
		DELETE FROM goose_db_version WHERE version_id >= 4`)
	s = historytest.OpenAt(t, path)
	got, err := s.StartsWith(t.Context(), "dial", time.Time{}, 0, 10)
	if diff := cmp.Diff([]gauge.Fact{begin}, got); err != nil || diff != "" {
		t.Errorf("%v\n%s", err, diff)
	}
}
