package history_test

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
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
	begin := gauge.Fact{Seq: 1, Job: &gauge.JobFact{Job: 1, Kind: "started", Data: []byte(`{"unit_serial":"SC-1"}`)}}
	mustAppend(t, s, begin, reading(2, "dial", 1),
		gauge.Fact{Seq: 3, Job: &gauge.JobFact{Job: 1, Kind: "taken", Data: []byte(`{"reading":2}`)}},
		gauge.Fact{Seq: 4, Job: &gauge.JobFact{Job: 1, Kind: "taken", Data: []byte("not JSON")}})
	closeStore(t, s)
	execSQL(t, path, `DROP TRIGGER job_gauges_note; DROP TABLE job_gauges; DROP VIEW fact_times; DROP TABLE spans; DROP TABLE jobs; DROP TABLE job_units; DROP TABLE job_labels; DROP TABLE requests; DROP TABLE stretches; DROP TABLE access_facts; DROP TABLE chain; DROP TABLE exits; DROP TABLE dead_letters;
		DROP INDEX gauge_facts_kind; DROP INDEX states_gauge; DROP INDEX job_facts_people;
		DROP TRIGGER jobs_start; DROP TRIGGER jobs_change; DROP TRIGGER jobs_close; DROP TRIGGER jobs_speak; DROP TRIGGER jobs_aside; DROP TRIGGER jobs_serial;
		DELETE FROM goose_db_version WHERE version_id >= 4`)
	s = historytest.OpenAt(t, path)
	got, err := s.StartsWith(t.Context(), "dial", time.Time{}, 0, 10)
	if diff := cmp.Diff([]gauge.Fact{begin}, got); err != nil || diff != "" {
		t.Errorf("%v\n%s", err, diff)
	}
	if jobs, err := s.JobNumbers(t.Context(), gauge.JobQuery{Unit: "sc 1", Limit: 9}); err != nil || len(jobs) != 1 {
		t.Errorf("by its unit: %v, %v", jobs, err)
	}
}

// TestUnitsOfJobs: a job is found by every serial number that was said of its unit, however
// it is written, and whether it waits.
func TestUnitsOfJobs(t *testing.T) {
	s := historytest.Open(t)
	fact := func(seq, job uint64, kind, data string) gauge.Fact {
		return gauge.Fact{Seq: seq, Job: &gauge.JobFact{Job: job, Time: start.Add(time.Duration(seq) * time.Hour), Kind: kind, Data: []byte(data)}}
	}
	mustAppend(t, s, fact(1, 1, "started", `{"unit_serial":"SC-OO42"}`), fact(2, 2, "started", `{"unit_serial":"SC-1"}`), fact(3, 3, "started", "not JSON"),
		fact(4, 1, "serial", `{"unit_serial":"SC-0042","before":"SC-OO42","reason":"typo"}`), fact(5, 2, "aside", `{"reason":"ordered"}`), fact(6, 1, "aside", `{"reason":"shift"}`), fact(7, 1, "resumed", "{}"))
	numbers := func(q gauge.JobQuery) []uint64 {
		t.Helper()
		q.Limit = 9
		jobs, err := s.JobNumbers(t.Context(), q)
		if err != nil {
			t.Fatal(err)
		}
		return jobs
	}
	for serial, job := range map[string]uint64{"sc oo42": 1, "SC0042": 1, "sc-1": 2} {
		if got := numbers(gauge.JobQuery{Unit: serial}); len(got) != 1 || got[0] != job {
			t.Errorf("%s finds %v, want %d", serial, got, job)
		}
	}
	if got := numbers(gauge.JobQuery{Aside: true}); len(got) != 1 || got[0] != 2 {
		t.Errorf("%v wait", got)
	}
	mustAppend(t, s, fact(8, 2, "closed", "{}"))
	if got := numbers(gauge.JobQuery{Aside: true}); len(got) != 0 {
		t.Errorf("%v wait", got)
	}
	units, err := s.RecentUnits(t.Context(), start.Add(2*time.Hour), 9)
	if diff := cmp.Diff([]gauge.Worked{{Job: 3, Started: start.Add(3 * time.Hour)}, {Serial: "SC-1", Job: 2, Started: start.Add(2 * time.Hour)}}, units); err != nil || diff != "" {
		t.Errorf("%v\n%s", err, diff)
	}
	if units, err = s.RecentUnits(t.Context(), start, 9); err != nil || units[2].Serial != "SC-0042" {
		t.Errorf("%v, %v", units, err)
	}
}

// TestJobsOfAPerson: a job is found once by each who started it, took it up, or signed or
// closed it, however the name is written, and not by who did something else on it.
func TestJobsOfAPerson(t *testing.T) {
	s := historytest.Open(t)
	fact := func(seq, job uint64, kind, by string) gauge.Fact {
		return gauge.Fact{Seq: seq, Job: &gauge.JobFact{Job: job, Time: start, Kind: kind, By: by, Data: []byte("{}")}}
	}
	mustAppend(t, s, fact(1, 1, "started", "Ann"), fact(2, 1, "resumed", "Ben"), fact(3, 1, "verified", "Cleo"), fact(4, 1, "closed", "Dan"), fact(5, 1, "discarded", "Eve"),
		fact(6, 2, "started", "ben"), fact(7, 2, "verified", "Ben"), fact(8, 3, "started", "Ann"), fact(9, 3, "closed", "Cleo"))
	for who, want := range map[string]string{"Ann": "[3 1]", "BEN": "[2 1]", "Cleo": "[3 1]", "Dan": "[1]", "Eve": "[]"} {
		for _, q := range []gauge.JobQuery{{By: who, Limit: 9}, {By: who, Limit: 9, Times: gauge.Times{Since: start}}} {
			if got, err := s.JobNumbers(t.Context(), q); err != nil || fmt.Sprint(got) != want {
				t.Errorf("%s: %v, %v, want %s", who, got, err, want)
			}
		}
		if first, err := s.JobNumbers(t.Context(), gauge.JobQuery{By: who, Limit: 9, After: 2}); err != nil || slices.Contains(first, 2) {
			t.Errorf("%s after 2: %v, %v", who, first, err)
		}
	}
	if got, err := s.JobNumbers(t.Context(), gauge.JobQuery{By: "Ben", Unit: "", Outcome: "measuring", Limit: 9}); err != nil || fmt.Sprint(got) != "[2 1]" {
		t.Errorf("with what else is asked for: %v, %v", got, err)
	}
}
