package tail

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"testing"

	"gauged/internal/gauge"
)

// stored is a store of facts, each of which is as long as the last number of its own says.
type stored struct{ facts []gauge.Fact }

func (s *stored) LastSeq() uint64 { return uint64(len(s.facts)) }

func (s *stored) FactsWithin(_ context.Context, after uint64, limit, bytes int) ([]gauge.Fact, error) {
	if bytes != farBytes || limit != farFacts {
		return nil, errors.New("a page of the store is not bounded")
	}
	return s.facts[after:min(int(after)+limit, len(s.facts))], nil
}

func (s *stored) add(t *Tail, raw int) {
	f := gauge.Fact{Seq: s.LastSeq() + 1, Reading: &gauge.Reading{Raw: make([]byte, raw)}}
	s.facts = append(s.facts, f)
	t.Add([]gauge.Fact{f})
}

// TestBounds: neither many facts nor long ones fill the memory or a page, and a watcher
// gets each of them once, from memory or from the store.
func TestBounds(t *testing.T) {
	for name, c := range map[string]struct{ facts, raw int }{
		"many":      {5 * keptFacts, 0},
		"long":      {5 * keptBytes / (64 << 10), 64 << 10},
		"very long": {5, 2 * keptBytes},
	} {
		t.Run(name, func(t *testing.T) {
			s := &stored{}
			tail := New(s)
			slow := tail.From(0)
			for range c.facts {
				s.add(tail, c.raw)
				if n := len(tail.facts); n > 2*keptFacts || n > 1 && tail.bytes > 2*keptBytes {
					t.Fatalf("%d facts of %d bytes are kept", n, tail.bytes)
				}
			}
			if size := sizeOf(tail.facts); size != tail.bytes {
				t.Errorf("%d bytes are kept, %d are counted", size, tail.bytes)
			}
			if len(tail.facts) == 0 && c.raw < keptBytes {
				t.Error("nothing is kept")
			}
			want := uint64(0)
			for want < s.LastSeq() {
				page, err := slow.Next(t.Context())
				if err != nil {
					t.Fatal(err)
				}
				for _, f := range page.Facts {
					if want++; f.Seq != want {
						t.Fatalf("fact %d where %d was expected", f.Seq, want)
					}
				}
			}
			facts, _, _ := tail.after(s.LastSeq() - uint64(len(tail.facts)))
			if n, size := len(facts), sizeOf(facts); n > pageFacts || n > 1 && size > pageBytes {
				t.Errorf("a page of %d facts with %d bytes", n, size)
			}
		})
	}
}

func sizeOf(facts []gauge.Fact) (n int) {
	for _, f := range facts {
		n += f.Size()
	}
	return n
}

// TestOneReadsTheStore: of many who are far behind one reads the store at a time, and who
// leaves does not wait for it.
func TestOneReadsTheStore(t *testing.T) {
	s := &busy{stored: stored{facts: []gauge.Fact{{Seq: 1}}}, entered: make(chan int, 20), leave: make(chan struct{})}
	tail := New(s)
	var reading sync.WaitGroup
	for range 20 {
		reading.Go(func() {
			if page, err := tail.From(0).Next(t.Context()); err != nil || len(page.Facts) != 1 {
				t.Errorf("%d facts, %v", len(page.Facts), err)
			}
		})
	}
	<-s.entered
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := tail.From(0).Next(gone); !errors.Is(err, context.Canceled) {
		t.Errorf("who left got %v", err)
	}
	close(s.leave)
	reading.Wait()
	close(s.entered)
	for n := range s.entered {
		if n != 1 {
			t.Errorf("%d read the store at once", n)
		}
	}
}

// busy is a store that is read until it is told to end.
type busy struct {
	stored
	reading atomic.Int64
	entered chan int
	leave   chan struct{}
}

func (b *busy) FactsWithin(ctx context.Context, after uint64, limit, bytes int) ([]gauge.Fact, error) {
	defer b.reading.Add(-1)
	b.entered <- int(b.reading.Add(1))
	<-b.leave
	return b.stored.FactsWithin(ctx, after, limit, bytes)
}
