package history_test

import (
	"errors"
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"gauged/internal/gauge"
	"gauged/internal/history"
	"gauged/internal/historytest"
)

// choose returns the facts that keep accepts, as a query should give them.
func choose(facts []gauge.Fact, after uint64, limit int, keep func(gauge.Fact) bool) []gauge.Fact {
	var chosen []gauge.Fact
	for _, f := range facts {
		if f.Seq > after && keep(f) && len(chosen) < limit {
			chosen = append(chosen, f)
		}
	}
	return chosen
}

// longHistory has three gauges that take turns unevenly, rejects and job steps.
func longHistory() []gauge.Fact {
	var facts []gauge.Fact
	numbers := map[string]uint64{}
	for seq := uint64(1); seq <= 200; seq++ {
		id := fmt.Sprint("gauge ", seq*seq%3)
		switch {
		case seq%7 == 0:
			facts = append(facts, gauge.Fact{Seq: seq, Reject: &gauge.Reject{
				Gauge: id, Time: start, Reason: gauge.ReasonLayout, Source: "bench-2", SourceSeq: seq,
			}})
		case seq%11 == 0:
			facts = append(facts, gauge.Fact{Seq: seq, Job: &gauge.JobFact{Job: 1 + seq/50, Time: start, Kind: "taken"}})
		default:
			numbers[id]++
			facts = append(facts, reading(seq, id, numbers[id]))
		}
	}
	return facts
}

func TestPagedQueries(t *testing.T) {
	s := historytest.Open(t)
	all := longHistory()
	mustAppend(t, s, all...)
	ctx := t.Context()
	for _, id := range []string{"", "gauge 0", "gauge 1", "gauge 2", "no such gauge"} {
		ofGauge := func(g string) bool { return id == "" || g == id }
		for _, after := range []uint64{0, 6, 7, 101, 199, 200, 1<<64 - 1} {
			for _, limit := range []int{-1, 0, 1, 17, history.MaxPage + 1} {
				name := fmt.Sprintf("%q after %d limit %d", id, after, limit)
				got, err := s.Readings(ctx, id, after, limit)
				want := choose(all, after, limit, func(f gauge.Fact) bool { return f.Reading != nil && ofGauge(f.Reading.Gauge) })
				if diff := cmp.Diff(want, got); err != nil || diff != "" {
					t.Errorf("Readings %s: %v %s", name, err, diff)
				}
				got, err = s.Rejects(ctx, id, after, limit)
				want = choose(all, after, limit, func(f gauge.Fact) bool { return f.Reject != nil && ofGauge(f.Reject.Gauge) })
				if diff := cmp.Diff(want, got); err != nil || diff != "" {
					t.Errorf("Rejects %s: %v %s", name, err, diff)
				}
				got, err = s.Facts(ctx, after, limit)
				want = choose(all, after, limit, func(gauge.Fact) bool { return true })
				if diff := cmp.Diff(want, got, cmpopts.EquateEmpty()); err != nil || diff != "" {
					t.Errorf("Facts after %d limit %d: %v %s", after, limit, err, diff)
				}
			}
		}
	}
}

func TestSingleQueries(t *testing.T) {
	s := historytest.Open(t)
	all := longHistory()
	mustAppend(t, s, all...)
	ctx := t.Context()

	got, err := s.Reading(ctx, 3)
	if diff := cmp.Diff(all[2], got); err != nil || diff != "" {
		t.Errorf("Reading(3): %v %s", err, diff)
	}
	for _, seq := range []uint64{0, 7, 201, 1<<64 - 1} {
		_, err := s.Reading(ctx, seq)
		want := fmt.Sprintf("read reading %d from history: it is not in the history", seq)
		if !errors.Is(err, history.ErrNotFound) || err.Error() != want {
			t.Errorf("Reading(%d) = %v", seq, err)
		}
	}
	for job := range uint64(6) {
		got, err := s.JobFacts(ctx, job)
		want := choose(all, 0, 1000, func(f gauge.Fact) bool { return f.Job != nil && (job == 0 || f.Job.Job == job) })
		if diff := cmp.Diff(want, got); err != nil || diff != "" {
			t.Errorf("JobFacts(%d): %v %s", job, err, diff)
		}
	}
	if got, err := s.LastJob(ctx); err != nil || got != 4 {
		t.Errorf("LastJob = %d, %v, want 4", got, err)
	}
}

func TestJobsWithout(t *testing.T) {
	s := historytest.Open(t)
	var facts []gauge.Fact
	for i, step := range []struct {
		job  uint64
		kind string
	}{{1, "started"}, {2, "started"}, {1, "closed"}, {3, "started"}, {3, "taken"}, {10, "taken"}} {
		facts = append(facts, gauge.Fact{Seq: uint64(i) + 1, Job: &gauge.JobFact{Job: step.job, Kind: step.kind}})
	}
	mustAppend(t, s, facts...)
	for kind, want := range map[string][]uint64{
		"closed": {2, 3, 10}, "started": {10}, "taken": {1, 2}, "verified": {1, 2, 3, 10},
	} {
		got, err := s.JobsWithout(t.Context(), kind)
		if diff := cmp.Diff(want, got); err != nil || diff != "" {
			t.Errorf("JobsWithout(%q): %v %s", kind, err, diff)
		}
	}
}

// TestJobStarts: the starts come in the order of the jobs, in pages, and through
// the index.
func TestJobStarts(t *testing.T) {
	s := historytest.Open(t)
	var facts, starts []gauge.Fact
	for i, step := range []struct {
		job  uint64
		kind string
	}{{2, "started"}, {1, "started"}, {1, "closed"}, {3, "started"}, {2, "taken"}, {7, "started"}, {9, "taken"}} {
		f := gauge.Fact{Seq: uint64(i) + 1, Job: &gauge.JobFact{Job: step.job, Time: start, Kind: step.kind, By: "t", Data: []byte("{}")}}
		if facts = append(facts, f); step.kind == "started" {
			starts = append(starts, f)
		}
	}
	starts[0], starts[1] = starts[1], starts[0] // by job
	mustAppend(t, s, facts...)
	for _, c := range []struct {
		after uint64
		limit int
		want  []gauge.Fact
	}{
		{0, 100, starts},
		{0, 2, starts[:2]},
		{2, 2, starts[2:]},
		{1, 1, starts[1:2]},
		{7, 10, nil},
		{0, 0, nil},
		{0, -1, nil},
		{1<<64 - 1, 10, nil},
		{0, history.MaxPage + 1, starts},
	} {
		got, err := s.JobStarts(t.Context(), c.after, c.limit)
		if diff := cmp.Diff(c.want, got); err != nil || diff != "" {
			t.Errorf("after %d limit %d: %v %s", c.after, c.limit, err, diff)
		}
	}
}

func TestLastOfEachGauge(t *testing.T) {
	s := historytest.Open(t)
	ctx := t.Context()
	if got, err := s.LastReadings(ctx); err != nil || len(got) != 0 {
		t.Errorf("LastReadings of an empty history = %v, %v", got, err)
	}
	if got, err := s.LastJob(ctx); err != nil || got != 0 {
		t.Errorf("LastJob of an empty history = %d, %v", got, err)
	}
	all := longHistory()
	mustAppend(t, s, all...)
	last, numbers := map[string]gauge.Fact{}, map[string]uint64{}
	for _, f := range all {
		if f.Reading != nil {
			last[f.Reading.Gauge], numbers[f.Reading.Gauge] = f, f.Reading.Number
		}
	}
	got, err := s.LastReadings(ctx)
	if diff := cmp.Diff(last, got); err != nil || diff != "" {
		t.Errorf("LastReadings: %v %s", err, diff)
	}
	gotNumbers, err := s.LastNumbers(ctx)
	if diff := cmp.Diff(numbers, gotNumbers); err != nil || diff != "" {
		t.Errorf("LastNumbers: %v %s", err, diff)
	}
}

func TestSourceSeq(t *testing.T) {
	s := historytest.Open(t)
	mustAppend(t, s, mixed(1)...)
	for source, want := range map[string]uint64{"bench-2": 9, "bench-3": 0, "": 0} {
		if got, err := s.SourceSeq(t.Context(), source); err != nil || got != want {
			t.Errorf("SourceSeq(%q) = %d, %v, want %d", source, got, err, want)
		}
	}
	sent := reading(9, "b", 2)
	sent.Reading.Source, sent.Reading.SourceSeq = "bench-2", 12
	mustAppend(t, s, sent)
	if got, err := s.SourceSeq(t.Context(), "bench-2"); err != nil || got != 12 {
		t.Errorf("SourceSeq = %d, %v, want 12", got, err)
	}
}

func TestFile(t *testing.T) {
	s := historytest.Open(t)
	mustAppend(t, s, mixed(1)...)
	want := *mixed(1)[1].File
	got, err := s.File(t.Context(), want.Hash)
	if diff := cmp.Diff(want, got); err != nil || diff != "" {
		t.Errorf("%v %s", err, diff)
	}
	for hash, want := range map[string]bool{want.Hash: true, "beef": false, "": false} {
		if has, err := s.HasFile(t.Context(), hash); err != nil || has != want {
			t.Errorf("HasFile(%q) = %t, %v", hash, has, err)
		}
	}
	_, err = s.File(t.Context(), "beef")
	if !errors.Is(err, history.ErrNotFound) || err.Error() != "read file beef from history: it is not in the history" {
		t.Errorf("File of an unknown hash = %v", err)
	}
}

// TestGaugeFacts: what happened to gauges is read by gauge and in pages.
func TestGaugeFacts(t *testing.T) {
	s := historytest.Open(t)
	var all []gauge.Fact
	for seq := uint64(1); seq <= 50; seq++ {
		f := gauge.Fact{Seq: seq, Gauge: &gauge.GaugeFact{Gauge: fmt.Sprint("gauge ", seq%3), Time: start, Kind: "checked", By: "t", Data: []byte("{}")}}
		if seq%5 == 0 {
			f = gauge.Fact{Seq: seq, State: &gauge.StateChange{Gauge: "gauge 0", Time: start, State: gauge.StateLive}}
		}
		all = append(all, f)
	}
	mustAppend(t, s, all...)
	for _, id := range []string{"", "gauge 0", "gauge 1", "no such gauge"} {
		for _, after := range []uint64{0, 7, 49, 50} {
			for _, limit := range []int{0, 3, history.MaxPage} {
				got, err := s.GaugeFacts(t.Context(), id, after, limit)
				want := choose(all, after, limit, func(f gauge.Fact) bool { return f.Gauge != nil && (id == "" || f.Gauge.Gauge == id) })
				if diff := cmp.Diff(want, got); err != nil || diff != "" {
					t.Errorf("%q after %d limit %d: %v %s", id, after, limit, err, diff)
				}
			}
		}
	}
}

func TestRecentReadings(t *testing.T) {
	s := historytest.Open(t)
	all := longHistory()
	mustAppend(t, s, all...)
	for _, id := range []string{"gauge 0", "gauge 1", "no such gauge"} {
		of := choose(all, 0, history.MaxPage, func(f gauge.Fact) bool { return f.Reading != nil && f.Reading.Gauge == id })
		for _, count := range []int{0, 1, 7, 1000} {
			got, err := s.RecentReadings(t.Context(), id, count)
			if diff := cmp.Diff(of[max(len(of)-count, 0):], got, cmpopts.EquateEmpty()); err != nil || diff != "" {
				t.Errorf("%s, %d: %v %s", id, count, err, diff)
			}
		}
	}
}

func TestRecentGaugeFacts(t *testing.T) {
	s := historytest.Open(t)
	var all, dial []gauge.Fact
	for i := range 9 {
		f := gauge.Fact{Seq: uint64(i + 1), Gauge: &gauge.GaugeFact{Gauge: []string{"dial", "probe"}[i%2], Time: start, Kind: "checked", By: "q", Data: []byte("{}")}}
		if all = append(all, f); i%2 == 0 {
			dial = append(dial, f)
		}
	}
	mustAppend(t, s, all...)
	for count := range 7 {
		got, err := s.RecentGaugeFacts(t.Context(), "dial", count)
		if diff := cmp.Diff(dial[max(len(dial)-count, 0):], got, cmpopts.EquateEmpty()); err != nil || diff != "" {
			t.Errorf("%d: %v %s", count, err, diff)
		}
	}
}

// TestFileVersions: versions of one file and its releases, in order, without the contents.
func TestFileVersions(t *testing.T) {
	s := historytest.Open(t)
	first, second := []byte("one"), []byte("two")
	file := func(seq uint64, kind, name string, content []byte) gauge.Fact {
		return gauge.Fact{Seq: seq, File: &gauge.File{Hash: gauge.HashContent(content), Kind: kind, Name: name, Content: content, Time: start}}
	}
	release := func(seq uint64, name string, content []byte) gauge.Fact {
		return gauge.Fact{Seq: seq, Release: &gauge.Release{Hash: gauge.HashContent(content), Kind: "parts", Name: name, By: "b", Reason: "r", Time: start}}
	}
	mustAppend(t, s, file(1, "parts", "a", first), file(2, "parts", "b", []byte("other")), file(3, "parts", "a", second), release(4, "a", second), release(5, "b", first), release(6, "a", first))
	found, err := s.FileVersions(t.Context(), "parts", "a")
	if err != nil {
		t.Fatal(err)
	}
	want := []gauge.Fact{file(1, "parts", "a", first), file(3, "parts", "a", second), release(4, "a", second), release(6, "a", first)}
	want[0].File.Content, want[1].File.Content = nil, nil
	if diff := differ(want, found); diff != "" {
		t.Error(diff)
	}
	if found, err := s.FileVersions(t.Context(), "procedure", "a"); err != nil || len(found) != 0 {
		t.Errorf("%v, %v", found, err)
	}
}
