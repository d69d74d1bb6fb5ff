package history_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gauged/internal/gauge"
	"gauged/internal/history"
	"gauged/internal/historytest"
)

func TestAppendRefuses(t *testing.T) {
	change := func(f gauge.Fact, edit func(*gauge.Reading)) gauge.Fact {
		edit(f.Reading)
		return f
	}
	file := mixed(1)[1].File
	tests := []struct {
		name  string
		facts []gauge.Fact
		is    error
		want  string
	}{
		{
			"hole in the numbers",
			[]gauge.Fact{reading(10, "a", 4)},
			history.ErrOutOfOrder,
			"append fact 10: the numbers do not continue the history: the next is 9",
		},
		{
			"number used twice",
			[]gauge.Fact{reading(8, "a", 4)},
			history.ErrOutOfOrder,
			"append fact 8: the numbers do not continue the history: the next is 9",
		},
		{
			"hole within the batch",
			[]gauge.Fact{reading(9, "a", 4), reading(11, "a", 5)},
			history.ErrOutOfOrder,
			"append fact 11: the numbers do not continue the history: the next is 10",
		},
		{
			"hole in the numbers of a gauge",
			[]gauge.Fact{reading(9, "a", 4), reading(10, "a", 6)},
			history.ErrOutOfOrder,
			`append fact 10: the numbers do not continue the history: reading 6 of gauge "a" follows reading 4`,
		},
		{
			"new gauge that does not begin with 1",
			[]gauge.Fact{reading(9, "c", 0)},
			history.ErrOutOfOrder,
			`append fact 9: the numbers do not continue the history: reading 0 of gauge "c" follows reading 0`,
		},
		{
			"no content",
			[]gauge.Fact{{Seq: 9}},
			history.ErrBadFact,
			"append fact 9: the fact cannot be stored: it has 0 contents instead of one",
		},
		{
			"two contents",
			[]gauge.Fact{{Seq: 9, Reading: reading(9, "a", 4).Reading, State: &gauge.StateChange{}}},
			history.ErrBadFact,
			"append fact 9: the fact cannot be stored: it has 2 contents instead of one",
		},
		{
			"unit that does not exist",
			[]gauge.Fact{change(reading(9, "a", 4), func(r *gauge.Reading) { r.Unit = 99 })},
			history.ErrBadFact,
			"append fact 9: the fact cannot be stored: its unit Unit(99) does not exist",
		},
		{
			"time that nanoseconds cannot hold",
			[]gauge.Fact{change(reading(9, "a", 4), func(r *gauge.Reading) { r.Time = time.Date(2300, 1, 1, 0, 0, 0, 0, time.UTC) })},
			history.ErrBadFact,
			"append fact 9: the fact cannot be stored: its time 2300-01-01 00:00:00 +0000 UTC is outside the years 1678 to 2262",
		},
		{
			"source number that SQLite cannot hold",
			[]gauge.Fact{change(reading(9, "a", 4), func(r *gauge.Reading) { r.SourceSeq = math.MaxUint64 })},
			history.ErrBadFact,
			"append fact 9: the fact cannot be stored: its source number 18446744073709551615 is larger than 9223372036854775807",
		},
		{
			"file whose hash is not that of its content",
			[]gauge.Fact{{Seq: 9, File: &gauge.File{Hash: "abc", Name: "shims"}}},
			history.ErrBadFact,
			`append fact 9: the fact cannot be stored: file "shims" has hash abc, its content has ` + gauge.HashContent(nil),
		},
		{
			"file version that is stored",
			[]gauge.Fact{reading(9, "a", 4), {Seq: 10, File: file}},
			history.ErrDuplicate,
			"append facts 9 to 10 to history: fact 10: it is stored already: sqlite3: constraint failed: UNIQUE constraint failed: files.hash",
		},
		{
			"reading that a sender sent before",
			[]gauge.Fact{change(reading(9, "b", 2), func(r *gauge.Reading) { r.Source, r.SourceSeq = "bench-2", 7 })},
			history.ErrDuplicate,
			"append facts 9 to 9 to history: fact 9: it is stored already: " +
				"sqlite3: constraint failed: UNIQUE constraint failed: readings.source, readings.source_seq",
		},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := historytest.Open(t)
			mustAppend(t, s, mixed(1)...)
			err := s.Append(t.Context(), test.facts)
			if !errors.Is(err, test.is) {
				t.Fatalf("Append = %v, want %v", err, test.is)
			}
			if err.Error() != test.want {
				t.Errorf("got  %v\nwant %s", err, test.want)
			}
			found, err := s.Facts(t.Context(), 0, 100)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(mixed(1), found); diff != "" || s.LastSeq() != 8 {
				t.Errorf("a refused batch left something, LastSeq %d: %s", s.LastSeq(), diff)
			}
			mustAppend(t, s, reading(9, "a", 4))
		})
	}
}

func TestAppendNothing(t *testing.T) {
	s := historytest.Open(t)
	if err := s.Append(t.Context(), nil); err != nil {
		t.Error(err)
	}
}
