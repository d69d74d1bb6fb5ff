package lookback

import (
	"context"
	"testing"
	"time"

	"gauged/internal/gauge"
)

// minutes is a history with an entry in each minute, every third of which is a reading of
// the gauge. It counts what is read of it.
type minutes struct {
	last uint64
	read int
}

func (m *minutes) at(seq uint64) gauge.Fact {
	return gauge.Fact{Seq: seq, Reading: &gauge.Reading{Gauge: "dial", Time: turnsBegan.Add(time.Duration(seq) * time.Minute), Number: seq / 3}}
}

func (m *minutes) LastSeq() uint64 { return m.last }

func (m *minutes) Facts(_ context.Context, after uint64, _ int) ([]gauge.Fact, error) {
	m.read++
	return []gauge.Fact{m.at(after + 1)}, nil
}

func (m *minutes) Readings(_ context.Context, _ string, after uint64, _ int) ([]gauge.Fact, error) {
	m.read++
	if next := after/3*3 + 3; next <= m.last {
		return []gauge.Fact{m.at(next)}, nil
	}
	return nil, nil
}

// TestPlaces: a time has the last entry that is not after it, and many times are found
// with little reading.
func TestPlaces(t *testing.T) {
	store := &minutes{last: 1000}
	p := NewPlaces(store, "dial", 333)
	for _, c := range []struct {
		after       time.Duration
		seq, number uint64
	}{
		{-time.Hour, 0, 0},
		{time.Minute - 1, 0, 0},
		{time.Minute, 1, 0},
		{3 * time.Minute, 3, 1},
		{500*time.Minute + time.Second, 500, 166},
		{999 * time.Minute, 999, 333},
		{24 * time.Hour, 1000, 333},
	} {
		if seq, number, err := p.At(t.Context(), turnsBegan.Add(c.after)); err != nil || seq != c.seq || number != c.number {
			t.Errorf("%v: %d, %d, %v, want %d, %d", c.after, seq, number, err, c.seq, c.number)
		}
	}
	store.read = 0
	for second := range 2000 {
		if _, _, err := p.At(t.Context(), turnsBegan.Add(-time.Duration(second)*time.Hour)); err != nil {
			t.Fatal(err)
		}
	}
	if store.read > 0 {
		t.Errorf("2000 times before the history began are found with %d reads, and all was read before", store.read)
	}
}
