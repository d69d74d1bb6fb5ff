package access

import (
	"maps"
	"sync"
	"time"
)

const (
	firstWait = 2 * time.Second // after the next one; each further one doubles it
	longest   = 5 * time.Minute
	mostTried = 1000 // what is kept of whom
)

// Tries slows down who guesses: after some wrong tries in a row each further one has to
// wait, twice as long each time, up to five minutes. A try counts as a wrong one from when
// it begins, so that many at once are no more than one after the other. For each five
// minutes in which nobody tried, one wrong try is forgotten: that is no faster than who
// waits the longest, and what nobody meant badly does not add up over a shift.
type Tries struct {
	Free  int // wrong tries in a row that cost no time
	mu    sync.Mutex
	wrong map[string]tried
}

type tried struct {
	Times int       `json:"times"`
	Until time.Time `json:"until"` // when the next try may be made
}

// remembered is what is remembered now.
func (t *Tries) remembered() map[string]tried {
	t.mu.Lock()
	defer t.mu.Unlock()
	return maps.Clone(t.wrong)
}

// take takes up what was remembered. Nobody waits longer for it than a wrong try makes wait,
// wherever the clock was.
func (t *Tries) take(wrong map[string]tried, now time.Time) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.wrong = wrong
	for key, w := range wrong {
		if latest := now.Add(longest); w.Until.After(latest) {
			wrong[key] = tried{w.Times, latest}
		}
	}
}

// Begin begins a try for key, or says how long it has to wait.
func (t *Tries) Begin(key string, now time.Time) (wait time.Duration) {
	wait, _ = t.Try(key, now)
	return wait
}

// Try begins a try for key, or says how long it has to wait. With spared it counts for
// nothing: it was a right one, or was not looked at. Of wrong tries before it, spared takes
// as many back as it is told.
func (t *Tries) Try(key string, now time.Time) (wait time.Duration, spared func(besides int)) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if wait := t.wrong[key].Until.Sub(now); wait > 0 {
		return wait, func(int) {}
	}
	if t.wrong == nil {
		t.wrong = map[string]tried{}
	}
	before := t.wrong[key].after(now)
	begun := tried{before.Times + 1, now}
	if begun.Times >= t.Free {
		begun.Until = now.Add(min(longest, firstWait<<min(begun.Times-t.Free, 16)))
	}
	t.wrong[key] = begun
	for len(t.wrong) > mostTried {
		t.forgetOne(key)
	}
	return 0, func(besides int) { t.spare(key, besides, begun, before) }
}

// after is what is left of wrong tries.
func (w tried) after(now time.Time) tried {
	if rested := int(now.Sub(w.Until) / longest); w.Times > 0 && rested > 0 {
		return tried{max(0, w.Times-rested), w.Until.Add(time.Duration(rested) * longest)}
	}
	return w
}

// spare takes a try back, and as many before it. Who waited for it alone waits no more.
func (t *Tries) spare(key string, besides int, begun, before tried) {
	t.mu.Lock()
	defer t.mu.Unlock()
	w, ok := t.wrong[key]
	if !ok {
		return
	}
	if w.Until.Equal(begun.Until) {
		w.Until = before.Until
	}
	if w.Times -= 1 + besides; w.Times <= 0 {
		delete(t.wrong, key)
		return
	}
	t.wrong[key] = w
}

// Wrong is how many wrong tries count for key.
func (t *Tries) Wrong(key string, now time.Time) int {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.wrong[key].after(now).Times
}

// forgetOne forgets who may try again the soonest, but for key.
func (t *Tries) forgetOne(key string) {
	soonest := ""
	for other, w := range t.wrong {
		if other != key && (soonest == "" || w.Until.Before(t.wrong[soonest].Until)) {
			soonest = other
		}
	}
	delete(t.wrong, soonest)
}

// Right notes a right try: the wrong ones before it count no more.
func (t *Tries) Right(key string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	delete(t.wrong, key)
}
