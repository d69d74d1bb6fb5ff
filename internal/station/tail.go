package station

import (
	"context"
	"slices"
	"sync"

	"gauged/internal/gauge"
)

// factStore is the history as watchers read it.
type factStore interface {
	LastSeq() uint64
	Facts(ctx context.Context, after uint64, limit int) ([]gauge.Fact, error)
}

// tail keeps the newest facts in memory, so that watchers who keep up do not
// ask the store.
type tail struct {
	store factStore
	mu    sync.Mutex
	facts []gauge.Fact // consecutive, ending with the newest
	last  uint64       // number of the newest durable fact
	more  chan struct{}
}

// tailSize is how many facts are kept; a watcher further behind reads the store.
const tailSize = 8192

// pageSize is how many facts a watcher gets at once.
const pageSize = 512

func newTail(store factStore) *tail {
	return &tail{store: store, last: store.LastSeq(), more: make(chan struct{})}
}

func (t *tail) add(facts []gauge.Fact) {
	if len(facts) == 0 {
		return
	}
	t.mu.Lock()
	t.facts = append(t.facts, facts...)
	if surplus := len(t.facts) - tailSize; surplus > tailSize {
		t.facts = slices.Clone(t.facts[surplus:])
	}
	t.last = facts[len(facts)-1].Seq
	more := t.more
	t.more = make(chan struct{})
	t.mu.Unlock()
	close(more)
}

// newest returns the number of the newest durable fact.
func (t *tail) newest() uint64 {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.last
}

// after returns facts that follow seq from memory; behind means that memory
// does not reach back so far. Without facts, more is closed when there are some.
func (t *tail) after(seq uint64) (facts []gauge.Fact, behind bool, more <-chan struct{}) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if seq >= t.last {
		return nil, false, t.more
	}
	if len(t.facts) == 0 || t.facts[0].Seq > seq+1 {
		return nil, true, nil
	}
	begin := int(seq + 1 - t.facts[0].Seq)
	end := min(begin+pageSize, len(t.facts))
	return t.facts[begin:end:end], false, nil
}

// Cursor reads the history from a place on, and goes on with what is added.
// It belongs to one goroutine.
type Cursor struct {
	t     *tail
	after uint64
	// Skip moves the cursor to the newest facts when it is behind what memory
	// holds, instead of reading the store.
	Skip bool
}

// Watch returns a cursor that begins after a number of the history.
func (s *Station) Watch(after uint64) *Cursor { return &Cursor{t: s.tail, after: after} }

// Newest returns the number of the newest durable fact.
func (s *Station) Newest() uint64 { return s.tail.newest() }

// Page is what a cursor gives at once: facts, and before them perhaps a gap
// of facts that were skipped.
type Page struct {
	GapFirst, GapLast uint64 // 0 when there is no gap
	Facts             []gauge.Fact
}

// Next waits for facts.
func (c *Cursor) Next(ctx context.Context) (Page, error) {
	var page Page
	for {
		facts, behind, more := c.t.after(c.after)
		switch {
		case len(facts) > 0:
			page.Facts = facts
		case behind && c.Skip:
			page.GapFirst, page.GapLast = c.after+1, c.t.newest()
			c.after = page.GapLast
			return page, nil
		case behind:
			var err error
			if page.Facts, err = c.t.store.Facts(ctx, c.after, pageSize); err != nil {
				return Page{}, err
			}
		default:
			select {
			case <-more:
				continue
			case <-ctx.Done():
				return Page{}, ctx.Err()
			}
		}
		c.after = page.Facts[len(page.Facts)-1].Seq
		return page, nil
	}
}
