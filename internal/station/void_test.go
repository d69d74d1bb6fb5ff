package station

import (
	"errors"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
)

// TestVoidedCheck: a mistaken check leaves trend, charts, advice and standing, and stays
// in the list with who voided it and why; the same after a restart.
func TestVoidedCheck(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	good := r.check("clock", r.at("clock", "block", "25.000"))
	r.pass(24 * time.Hour)
	before, err := r.Health("clock")
	if err != nil {
		t.Fatal(err)
	}
	mistaken := r.check("clock", r.at("clock", "block", "25.100")) // another block than was named
	h, err := r.Health("clock")
	if err != nil || h.Standing != health.Suspect || h.Checks != 2 {
		t.Fatalf("%+v, %v", h, err)
	}
	for _, c := range []struct {
		give VoidRequest
		kind error
		want string
	}{
		{VoidRequest{"clock", mistaken.Seq, "wrong block", " "}, gauge.ErrInput, "say who voids the check"},
		{VoidRequest{"clock", mistaken.Seq, "", "q"}, gauge.ErrInput, "say why check "},
		{VoidRequest{"clock", good.Seq - 1, "wrong block", "q"}, gauge.ErrNotFound, "is no check of gauge clock"},
	} {
		if _, err := r.VoidCheck(t.Context(), c.give); !errors.Is(err, c.kind) || !contains(err, c.want) {
			t.Errorf("%+v: %v", c.give, err)
		}
	}
	void := VoidRequest{"clock", mistaken.Seq, "it was the block of 25.1 mm", "quality"}
	if _, err := r.VoidCheck(t.Context(), void); err != nil {
		t.Fatal(err)
	}
	if _, err := r.VoidCheck(t.Context(), void); !errors.Is(err, gauge.ErrRefused) {
		t.Errorf("voided twice: %v", err)
	}
	look := func(when string) {
		t.Helper()
		h, err := r.Health("clock")
		if err != nil || h.Standing != health.InService || h.Checks != 1 || h.Last.Seq != good.Seq || h.Good.Seq != good.Seq || h.SettledAfter(0).Seq != good.Seq {
			t.Fatalf("%s: %+v, %v", when, h, err)
		}
		if !reflect.DeepEqual(h.Review("").Checks, before.Review("").Checks) || !reflect.DeepEqual(h.SettledAfter(0), before.SettledAfter(0)) {
			t.Errorf("%s: the trend is\n%+v, was\n%+v", when, h.Review("").Checks, before.Review("").Checks)
		}
		counting, err := r.Checks(t.Context(), "clock")
		if err != nil || len(counting) != 1 || counting[0].Seq != good.Seq {
			t.Errorf("%s: %+v, %v", when, counting, err)
		}
		all, err := r.AllChecks(t.Context(), "clock")
		if err != nil || len(all) != 2 || all[0].Voided != nil || all[1].Voided == nil || all[1].Voided.By != "quality" ||
			all[1].Voided.Reason != void.Reason || all[1].Result.Verdict != check.Fail {
			t.Errorf("%s: %+v, %v", when, all, err)
		}
		var whys []string
		for _, c := range h.Standings() {
			whys = append(whys, string(c.Standing)+" by "+c.By+": "+told(c.Why))
		}
		want := []string{"suspect by quality: its check of 2 Mar 2026 failed", "in service by quality: its check of 2 Mar 2026 was declared void: it was the block of 25.1 mm"}
		if !reflect.DeepEqual(whys, want) {
			t.Errorf("%s: the standing was %q", when, whys)
		}
	}
	look("live")
	r.stop()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	r = rigAt(t, path)
	look("after a restart")
	r.at("clock", "block", "25.000") // begins
	if _, err := r.RecordCheck(t.Context(), CheckRequest{Gauge: "clock", By: "q", Found: []CheckPoint{{Master: "block", Readings: seqsOf(mistaken)}}}); !contains(err, "is in the check of 2 Mar 2026 already") {
		t.Errorf("the readings of a voided check are free again: %v", err)
	}
}

// TestStandingsAreKept: who changed the standing, when and why, all of it.
func TestStandingsAreKept(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	set := func(s health.Standing, reason string) {
		t.Helper()
		if _, err := r.SetStanding(t.Context(), "clock", s, reason, "chief"); err != nil {
			t.Fatal(err)
		}
	}
	set(health.Suspect, "fell down")
	r.check("clock", r.at("clock", "block", "25.000"))
	r.check("clock", r.at("clock", "block", "25.000")) // changes nothing
	bad := r.check("clock", r.at("clock", "block", "25.100"))
	set(health.InService, "the block was dirty")
	// What somebody said after the check stands when the check is voided.
	if _, err := r.VoidCheck(t.Context(), VoidRequest{"clock", bad.Seq, "the block was dirty", "chief"}); err != nil {
		t.Fatal(err)
	}
	set(health.Retired, "worn")
	want := []health.StandingChange{
		{By: "chief", Standing: health.Suspect, Why: gauge.Plain("fell down")},
		{By: "quality", Standing: health.InService, Why: gauge.Plain("its check of 1 Mar 2026 passed")},
		{By: "quality", Standing: health.Suspect, Why: gauge.Plain("its check of 1 Mar 2026 failed")},
		{By: "chief", Standing: health.InService, Why: gauge.Plain("the block was dirty")},
		{By: "chief", Standing: health.Retired, Why: gauge.Plain("worn")},
	}
	look := func(when string) {
		t.Helper()
		h, err := r.Health("clock")
		if err != nil {
			t.Fatal(err)
		}
		got := h.Standings()
		for i := range got {
			if got[i].Seq == 0 || got[i].Time.IsZero() {
				t.Errorf("%s: %+v", when, got[i])
			}
		}
		var bare []health.StandingChange
		for _, c := range got {
			bare = append(bare, health.StandingChange{By: c.By, Standing: c.Standing, Why: gauge.Plain(told(c.Why))})
		}
		if !reflect.DeepEqual(bare, want) {
			t.Errorf("%s:\n got %+v\nwant %+v", when, bare, want)
		}
	}
	look("live")
	r.stop()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	r = rigAt(t, path)
	look("after a restart")
}

func seqsOf(c *check.Record) (seqs []uint64) {
	for _, p := range c.Points {
		seqs = append(seqs, p.Seqs...)
	}
	return seqs
}

func contains(err error, text string) bool { return err != nil && strings.Contains(said(err), text) }
