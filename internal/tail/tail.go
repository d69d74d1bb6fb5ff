// Package tail keeps the newest facts of a history in memory, and follows the history from
// a place on: a watcher has a cursor, not a queue.
package tail

import (
	"context"
	"slices"
	"sync"

	"gauged/internal/gauge"
)

// Store is the history as it is followed.
type Store interface {
	LastSeq() uint64
	// FactsWithin returns facts that follow one, as many as have so many bytes together.
	FactsWithin(ctx context.Context, after uint64, limit, bytes int) ([]gauge.Fact, error)
}

// Tail keeps the newest facts in memory, so that watchers who keep up do not
// ask the store.
type Tail struct {
	store Store
	mu    sync.Mutex
	facts []gauge.Fact // consecutive, ending with the newest
	bytes int          // that they take
	last  uint64       // number of the newest durable fact
	more  chan struct{}
	far   chan struct{} // has room for who reads the store: one at a time, so that hundreds leave room for what comes in
}

// What is kept, at least and at most twice that; a watcher further behind reads the store.
const (
	keptFacts = 8192
	keptBytes = 8 << 20
)

// What a watcher gets at once; one fact in any case.
const (
	pageFacts = 512
	pageBytes = 1 << 20
)

// What a watcher gets at once who is behind what memory holds. Such a page is the watcher's
// own for as long as it does not read, and there may be hundreds of them.
const (
	farFacts = 128
	farBytes = 64 << 10
)

// New returns the tail of a store, of which nothing is in memory yet.
func New(store Store) *Tail {
	return &Tail{store: store, last: store.LastSeq(), more: make(chan struct{}), far: make(chan struct{}, 1)}
}

// Add takes up facts that have become durable; their numbers continue those before.
func (t *Tail) Add(facts []gauge.Fact) {
	if len(facts) == 0 {
		return
	}
	t.mu.Lock()
	t.facts = append(t.facts, facts...)
	for _, f := range facts {
		t.bytes += f.Size()
	}
	if len(t.facts) > 2*keptFacts || t.bytes > 2*keptBytes {
		t.drop()
	}
	t.last = facts[len(facts)-1].Seq
	more := t.more
	t.more = make(chan struct{})
	t.mu.Unlock()
	close(more)
}

// drop forgets the oldest facts, down to what is kept.
func (t *Tail) drop() {
	first := 0
	for first < len(t.facts) && (len(t.facts)-first > keptFacts || t.bytes > keptBytes) {
		t.bytes -= t.facts[first].Size()
		first++
	}
	t.facts = slices.Clone(t.facts[first:])
}

// Newest returns the number of the newest durable fact.
func (t *Tail) Newest() uint64 {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.last
}

// after returns facts that follow seq from memory; behind means that memory
// does not reach back so far. Without facts, more is closed when there are some.
func (t *Tail) after(seq uint64) (facts []gauge.Fact, behind bool, more <-chan struct{}) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if seq >= t.last {
		return nil, false, t.more
	}
	if len(t.facts) == 0 || t.facts[0].Seq > seq+1 {
		return nil, true, nil
	}
	begin := int(seq + 1 - t.facts[0].Seq)
	end := begin + page(t.facts[begin:])
	return t.facts[begin:end:end], false, nil
}

// page is how many facts go into one page.
func page(facts []gauge.Fact) (n int) {
	for size := 0; n < min(pageFacts, len(facts)); n++ {
		if size += facts[n].Size(); n > 0 && size > pageBytes {
			break
		}
	}
	return n
}

// stored reads a page from the store.
func (t *Tail) stored(ctx context.Context, after uint64) ([]gauge.Fact, error) {
	select {
	case t.far <- struct{}{}:
		defer func() { <-t.far }()
		return t.store.FactsWithin(ctx, after, farFacts, farBytes)
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// Cursor reads the history from a place on, and goes on with what is added.
// It belongs to one goroutine.
type Cursor struct {
	t     *Tail
	after uint64
	// Skip moves the cursor to the newest facts when it is behind what memory
	// holds, instead of reading the store.
	Skip bool
}

// From returns a cursor that begins after a number of the history.
func (t *Tail) From(after uint64) *Cursor { return &Cursor{t: t, after: after} }

// Page is what a cursor gives at once: facts, and before them perhaps a gap
// of facts that were skipped.
type Page struct {
	GapFirst, GapLast uint64 // 0 when there is no gap
	Facts             []gauge.Fact
	Newest            uint64 // of the history, where the page is far behind it; else 0
}

// Next waits for facts.
func (c *Cursor) Next(ctx context.Context) (Page, error) {
	var got Page
	for {
		facts, behind, more := c.t.after(c.after)
		switch {
		case len(facts) > 0:
			got.Facts = facts
		case behind && c.Skip:
			got.GapFirst, got.GapLast = c.after+1, c.t.Newest()
			c.after = got.GapLast
			return got, nil
		case behind:
			var err error
			if got.Facts, err = c.t.stored(ctx, c.after); err != nil {
				return Page{}, err
			}
			if newest := c.t.Newest(); newest > c.after+keptFacts {
				got.Newest = newest
			}
		default:
			select {
			case <-more:
				continue
			case <-ctx.Done():
				return Page{}, ctx.Err()
			}
		}
		c.after = got.Facts[len(got.Facts)-1].Seq
		return got, nil
	}
}
