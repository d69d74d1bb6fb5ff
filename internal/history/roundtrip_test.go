package history_test

import (
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"gauged/internal/gauge"
	"gauged/internal/history"
)

// TestFactsComeBackEqual stores any facts in any batches, closes, opens and
// reads them: every value is as it was, nil and empty bytes told apart.
func TestFactsComeBackEqual(t *testing.T) {
	t.Parallel()
	outer := t
	rapid.Check(t, func(t *rapid.T) {
		d := newDisk(outer)
		want := drawFacts(t)
		s := open(t, d)
		for begin := 0; begin < len(want); {
			end := rapid.IntRange(begin+1, len(want)).Draw(t, "end of batch")
			if err := s.Append(t.Context(), want[begin:end]); err != nil {
				t.Fatal(err)
			}
			begin = end
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		s = open(t, d)
		defer s.Close()
		found, err := s.Facts(t.Context(), 0, history.MaxPage)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, found); diff != "" {
			t.Fatal(diff)
		}
		if err := s.Check(t.Context()); err != nil {
			t.Fatal(err)
		}
	})
}

func open(t *rapid.T, d *disk) *history.Store {
	t.Helper()
	s, err := history.OpenOn(t.Context(), filepath.Join(d.shared, "history.db"), d.name, d.syncDir)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// anyTime draws the zero time and every nanosecond that can be stored.
func anyTime() *rapid.Generator[time.Time] {
	return rapid.OneOf(
		rapid.Just(time.Time{}),
		rapid.Map(rapid.Int64(), func(ns int64) time.Time { return time.Unix(0, ns).UTC() }),
	)
}

// anyMessage draws a message: a text, or a code with arguments.
func anyMessage(t *rapid.T) gauge.Message {
	text := rapid.SampledFrom([]string{"", "{", `\\`}).Draw(t, "begin") + anyText().Draw(t, "message")
	if rapid.Bool().Draw(t, "is a text") {
		return gauge.Plain(text)
	}
	return gauge.Say("because.line.nothing", gauge.Text("serial", strings.ToValidUTF8(text, "?")), gauge.Span("limit", time.Duration(rapid.Int64().Draw(t, "span"))), gauge.Nested("why", gauge.Plain("x")))
}

// anyText draws texts with NUL bytes and bytes that are not UTF-8 among them.
func anyText() *rapid.Generator[string] {
	return rapid.OneOf(rapid.String(), rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) }))
}

func anyBytes() *rapid.Generator[[]byte] {
	return rapid.OneOf(rapid.Just[[]byte](nil), rapid.Just([]byte{}), rapid.SliceOf(rapid.Byte()))
}

func drawFacts(t *rapid.T) []gauge.Fact {
	facts := make([]gauge.Fact, rapid.IntRange(1, 20).Draw(t, "facts"))
	numbers, hashes := map[string]uint64{}, map[string]bool{}
	for i := range facts {
		f := &facts[i]
		f.Seq = uint64(i) + 1
		switch rapid.IntRange(0, 5).Draw(t, "kind") {
		case 0:
			f.Reading = drawReading(t, uint64(i))
			numbers[f.Reading.Gauge]++
			f.Reading.Number = numbers[f.Reading.Gauge]
		case 1:
			f.Reject = &gauge.Reject{
				Gauge: anyText().Draw(t, "gauge"), Time: anyTime().Draw(t, "time"),
				Reason: gauge.Reason(anyText().Draw(t, "reason")), Detail: anyMessage(t),
				Raw: anyBytes().Draw(t, "raw"), Source: anyText().Draw(t, "source"), SourceSeq: drawSourceSeq(t, uint64(i)),
			}
		case 2:
			f.State = &gauge.StateChange{
				Gauge: anyText().Draw(t, "gauge"), Time: anyTime().Draw(t, "time"),
				State: gauge.State(anyText().Draw(t, "state")), Reason: anyMessage(t),
			}
		case 3:
			content := anyBytes().Draw(t, "content")
			hash := gauge.HashContent(content)
			if hashes[hash] {
				f.Job = &gauge.JobFact{}
				continue
			}
			hashes[hash] = true
			f.File = &gauge.File{
				Hash: hash, Kind: anyText().Draw(t, "kind of file"), Name: anyText().Draw(t, "name"),
				Content: content, Time: anyTime().Draw(t, "time"),
			}
		case 4:
			f.Job = &gauge.JobFact{
				Job: rapid.Uint64Range(0, math.MaxInt64).Draw(t, "job"), Time: anyTime().Draw(t, "time"),
				Kind: anyText().Draw(t, "kind of step"), By: anyText().Draw(t, "by"), Data: anyBytes().Draw(t, "data"),
			}
		case 5:
			f.Release = &gauge.Release{
				Hash: anyText().Draw(t, "hash"), Kind: anyText().Draw(t, "kind of file"), Name: anyText().Draw(t, "name"),
				By: anyText().Draw(t, "by"), Reason: anyText().Draw(t, "reason"), Time: anyTime().Draw(t, "time"),
			}
		}
	}
	return facts
}

func drawReading(t *rapid.T, i uint64) *gauge.Reading {
	return &gauge.Reading{
		Gauge: anyText().Draw(t, "gauge"), Time: anyTime().Draw(t, "time"),
		Value: gauge.Length(rapid.Int64().Draw(t, "value")), Shown: anyText().Draw(t, "shown"),
		Unit:   rapid.SampledFrom(append(gauge.Units(), gauge.UnitUnknown)).Draw(t, "unit"),
		Status: gauge.Status(anyText().Draw(t, "status")), Raw: anyBytes().Draw(t, "raw"),
		Source: anyText().Draw(t, "source"), SourceSeq: drawSourceSeq(t, i), EnteredBy: anyText().Draw(t, "entered by"),
	}
}

// drawSourceSeq draws 0 or a number that no other fact has.
func drawSourceSeq(t *rapid.T, i uint64) uint64 {
	return rapid.SampledFrom([]uint64{0, i + 1, math.MaxInt64 - i}).Draw(t, "source number")
}
