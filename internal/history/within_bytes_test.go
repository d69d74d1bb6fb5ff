package history_test

import (
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/historytest"
)

// TestFactsWithinBytes: who follows the history gets so many bytes at once, one fact in any
// case, and in the end all facts in their order.
func TestFactsWithinBytes(t *testing.T) {
	s := historytest.Open(t)
	facts := readings(0, 12)
	for i := range facts {
		facts[i].Reading.Raw = make([]byte, 1000)
	}
	facts[5].Reading.Raw = make([]byte, 9000)
	mustAppend(t, s, facts...)
	var got []gauge.Fact
	var sizes []int
	for after := uint64(0); after < s.LastSeq(); {
		page, err := s.FactsWithin(t.Context(), after, 100, 3500)
		if err != nil || len(page) == 0 {
			t.Fatal(len(page), err)
		}
		got, sizes, after = append(got, page...), append(sizes, len(page)), page[len(page)-1].Seq
	}
	if len(got) != len(facts) || sizes[0] != 3 || sizes[2] != 1 {
		t.Errorf("%d facts in pages of %v", len(got), sizes)
	}
	for i, f := range got {
		if f.Seq != uint64(i+1) {
			t.Errorf("fact %d at place %d", f.Seq, i+1)
		}
	}
}
