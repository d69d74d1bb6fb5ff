package running

import "sync"

// Drafts are what is being made with gauges and is not recorded yet, such as
// checks: at most one for each gauge.
type Drafts[T any] struct {
	mu   sync.Mutex
	byID map[string]*T
}

// With lets f look at or change the draft of a gauge, which is nil when there is none.
func (d *Drafts[T]) With(id string, f func(*T) error) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	return f(d.byID[id])
}

// Has reports whether a gauge has a draft.
func (d *Drafts[T]) Has(id string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.byID[id] != nil
}

// Put begins or ends a draft.
func (d *Drafts[T]) Put(id string, draft *T) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if draft == nil {
		delete(d.byID, id)
		return
	}
	if d.byID == nil {
		d.byID = map[string]*T{}
	}
	d.byID[id] = draft
}
