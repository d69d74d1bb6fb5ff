package lookback

import (
	"context"
	"time"

	"gauged/internal/gauge"
)

// placeStore is the history as a place in it is looked for.
type placeStore interface {
	LastSeq() uint64
	Facts(ctx context.Context, after uint64, limit int) ([]gauge.Fact, error)
	Readings(ctx context.Context, gaugeID string, after uint64, limit int) ([]gauge.Fact, error)
}

// Places finds where times of a gauge stand in the history. It knows what it has read: the
// searches for many times meet at the same entries.
type Places struct {
	store   placeStore
	gauge   string
	newest  uint64 // number of the last reading of the gauge
	last    uint64 // number of the last entry
	times   map[uint64]time.Time
	numbers map[uint64]uint64 // of readings, by the number of the history
}

// NewPlaces looks in the history as it is now; newest is the number of the last reading of
// the gauge.
func NewPlaces(store placeStore, gaugeID string, newest uint64) *Places {
	return &Places{store, gaugeID, newest, store.LastSeq(), map[uint64]time.Time{}, map[uint64]uint64{}}
}

// At is the last number that the history had at a time, 0: none; and the number that the
// readings of the gauge had come to by then.
func (p *Places) At(ctx context.Context, t time.Time) (seq, number uint64, err error) {
	low, high := uint64(0), p.last // the answer is in low..high
	for low < high {
		middle := high - (high-low)/2
		at, err := p.time(ctx, middle)
		if err != nil {
			return 0, 0, err
		}
		if at.IsZero() || at.After(t) {
			high = middle - 1
		} else {
			low = middle
		}
	}
	number, err = p.number(ctx, low)
	return low, number, err
}

// time is that of an entry; zero: there is none.
func (p *Places) time(ctx context.Context, seq uint64) (time.Time, error) {
	if at, known := p.times[seq]; known {
		return at, nil
	}
	facts, err := p.store.Facts(ctx, seq-1, 1)
	if err != nil {
		return time.Time{}, err
	}
	if len(facts) > 0 {
		p.times[seq] = facts[0].Time()
	} else {
		p.times[seq] = time.Time{}
	}
	return p.times[seq], nil
}

func (p *Places) number(ctx context.Context, seq uint64) (uint64, error) {
	if n, known := p.numbers[seq]; known {
		return n, nil
	}
	next, err := p.store.Readings(ctx, p.gauge, seq, 1)
	if err != nil {
		return 0, err
	}
	p.numbers[seq] = p.newest
	if len(next) > 0 && next[0].Reading.Number > 0 {
		p.numbers[seq] = next[0].Reading.Number - 1
	}
	return p.numbers[seq], nil
}
