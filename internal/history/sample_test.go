package history_test

import (
	"fmt"
	"reflect"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gauged/internal/gauge"
	"gauged/internal/history"
)

var start = time.Date(2026, 3, 2, 7, 0, 0, 123456789, time.UTC)

// reading is a typical one: the number-th of its gauge, stored as fact seq.
func reading(seq uint64, id string, number uint64) gauge.Fact {
	value := gauge.Length(2_345_000_000) + gauge.Length(number%1000)*1_000_000
	shown := value.Text(gauge.Millimetre, 3)
	return gauge.Fact{Seq: seq, Reading: &gauge.Reading{
		Gauge:  id,
		Number: number,
		Time:   start.Add(time.Duration(seq) * 100 * time.Millisecond),
		Value:  value,
		Shown:  "+" + shown,
		Unit:   gauge.Millimetre,
		Status: gauge.StatusOK,
		Raw:    fmt.Appendf(nil, "+%09s mm\r\n", shown),
	}}
}

// readings are n readings that continue an otherwise empty history of one gauge.
func readings(after uint64, n int) []gauge.Fact {
	facts := make([]gauge.Fact, n)
	for i := range facts {
		seq := after + 1 + uint64(i)
		facts[i] = reading(seq, "bench", seq)
	}
	return facts
}

func mustAppend(tb testing.TB, s *history.Store, facts ...gauge.Fact) {
	tb.Helper()
	if err := s.Append(tb.Context(), facts); err != nil {
		tb.Fatal(err)
	}
}

// differ says how found differs from want, empty when it does not. It is much
// faster than cmp.Diff where they are equal.
func differ(want, found []gauge.Fact) string {
	if len(want) != len(found) {
		return fmt.Sprintf("%d facts came back instead of %d", len(found), len(want))
	}
	for i := range want {
		if !reflect.DeepEqual(want[i], found[i]) {
			return cmp.Diff(want[i], found[i])
		}
	}
	return ""
}
