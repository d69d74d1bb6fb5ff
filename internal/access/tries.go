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
// it begins, so that many at once are no more than one after the other.
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
	t.mu.Lock()
	defer t.mu.Unlock()
	if wait := t.wrong[key].Until.Sub(now); wait > 0 {
		return wait
	}
	if t.wrong == nil {
		t.wrong = map[string]tried{}
	}
	w := t.wrong[key]
	w.Times++
	if w.Times >= t.Free {
		w.Until = now.Add(min(longest, firstWait<<min(w.Times-t.Free, 16)))
	}
	t.wrong[key] = w
	for len(t.wrong) > mostTried {
		t.forgetOne(key)
	}
	return 0
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
