package station

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
)

// TestACheckTakesItsOwnReadings: each reading counts once, in one check, and was taken
// after the check was begun.
func TestACheckTakesItsOwnReadings(t *testing.T) {
	r := newRig(t)
	r.press("clock", "25.000", gauge.Millimetre)
	early := r.Newest()
	record := func(begun uint64, found ...CheckPoint) error {
		_, err := r.RecordCheck(t.Context(), CheckRequest{Gauge: "clock", By: "q", Begun: begun, Found: found})
		return err
	}
	refused := func(what string, err error, want string) {
		t.Helper()
		if err == nil || said(err) != want {
			t.Errorf("%s:\n got %v\nwant %s", what, err, want)
		}
	}
	block := func(seqs ...uint64) CheckPoint { return CheckPoint{Master: "block", Readings: seqs} }
	refused("not begun", record(0, block(early)), "refused: no check of gauge clock was begun: a check takes the readings that come after its begin; begin it again (gaugectl master begin), and take its readings then")

	begun := r.begins("clock")
	r.press("clock", "25.001", gauge.Millimetre)
	mine := r.Newest()
	refused("before the begin", record(0, block(early)), fmt.Sprintf("refused: reading %d was taken before this check was begun at %s: read the gauge at the master again", early, begun.Time.Format("2 Jan 2006 15:04:05 -07:00")))
	refused("one reading twice", record(0, block(mine, mine)), fmt.Sprintf("wrong input: reading %d is there twice, at master block and at master block: each reading counts once", mine))
	refused("found and left", func() error {
		_, err := r.RecordCheck(t.Context(), CheckRequest{Gauge: "clock", By: "q", Found: []CheckPoint{block(mine)}, Left: []CheckPoint{block(mine)}})
		return err
	}(), fmt.Sprintf("wrong input: reading %d is there twice, at master block and at master block: each reading counts once", mine))
	refused("no begin", record(early, block(mine)), fmt.Sprintf("wrong input: number %d of the history begins no check of gauge clock", early))
	other := r.begins("clock") // on another screen
	if err := record(begun.Seq, block(mine)); err != nil {
		t.Fatal(err)
	}
	h, err := r.Health("clock")
	if err != nil {
		t.Fatal(err)
	}
	refused("ended by another", record(other.Seq, block(mine)), fmt.Sprintf("refused: check %d of gauge clock was recorded after this one was begun (%d), and ended it: begin it again (gaugectl master begin), and take its readings then", h.Last.Seq, other.Seq))
	r.begins("clock")
	refused("another's", record(0, block(mine)), fmt.Sprintf("refused: reading %d is in the check of 1 Mar 2026 already (number %d): each reading counts once, in one check", mine, h.Last.Seq))
	_, err = r.RecordZeroReturn(t.Context(), ZeroRequest{Gauge: "clock", By: "q", Reading: early})
	if err == nil || !errors.Is(err, gauge.ErrRefused) {
		t.Errorf("a zero return of before the check: %v", err)
	}

	r.press("clock", "0.001", gauge.Millimetre)
	if _, err := r.RecordZeroReturn(t.Context(), ZeroRequest{Gauge: "clock", By: "q", Reading: r.Newest()}); err != nil {
		t.Fatal(err)
	}
	zero, err := r.Health("clock")
	if err != nil {
		t.Fatal(err)
	}
	refused("a zero return", record(0, CheckPoint{Master: "zero", Readings: zero.LastZero.Points[0].Seqs}), fmt.Sprintf("refused: reading %d is a zero return of the gauge already: each reading counts once", zero.LastZero.Points[0].Seqs[0]))
	r.pass(25 * time.Hour)
	refused("a day later", record(0, block(mine)), "refused: the check of gauge clock was begun on 1 Mar 2026: begin it again (gaugectl master begin), and take its readings then")
}

// TestBeginOfACheck: what is wrong with the masters is said before the first reading, all
// of it.
func TestBeginOfACheck(t *testing.T) {
	r := newRig(t)
	_, err := r.BeginCheck(t.Context(), "dial", "q", []string{"old", "zero", "none"}, health.BegunData{})
	for _, want := range []string{"refused: the calibration of master old was due on 1 Jan 2026: take another, or have it calibrated", `there is no master "none"`} {
		if err == nil || !strings.Contains(said(err), want) {
			t.Errorf("got %v\nwant %s", err, want)
		}
	}
	if _, err := r.BeginCheck(t.Context(), "dial", " ", nil, health.BegunData{}); !errors.Is(err, gauge.ErrInput) {
		t.Errorf("by nobody: %v", err)
	}
	if _, err := r.BeginCheck(t.Context(), "none", "q", nil, health.BegunData{}); !errors.Is(err, gauge.ErrNotFound) {
		t.Errorf("no gauge: %v", err)
	}
}
