package access

import (
	"sync"
	"time"
)

const (
	freeTries = 3               // wrong ones in a row that cost no time
	firstWait = 2 * time.Second // after the next one; each further one doubles it
	longest   = 5 * time.Minute
	mostTried = 1000 // what is kept of whom
)

// Tries slows down who guesses: after three wrong tries in a row each further one has
// to wait, twice as long each time, up to five minutes. The zero Tries is ready.
type Tries struct {
	mu    sync.Mutex
	wrong map[string]tried
}

type tried struct {
	times int
	until time.Time // when the next try may be made
}

// Wait is how long a try for key has to wait still.
func (t *Tries) Wait(key string, now time.Time) time.Duration {
	t.mu.Lock()
	defer t.mu.Unlock()
	return max(0, t.wrong[key].until.Sub(now))
}

// Wrong notes a wrong try.
func (t *Tries) Wrong(key string, now time.Time) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.wrong == nil {
		t.wrong = map[string]tried{}
	}
	w := t.wrong[key]
	w.times++
	if w.times >= freeTries {
		w.until = now.Add(min(longest, firstWait<<min(w.times-freeTries, 16)))
	}
	t.wrong[key] = w
	for len(t.wrong) > mostTried {
		t.forgetOne(key)
	}
}

// forgetOne forgets who may try again the soonest, but for key.
func (t *Tries) forgetOne(key string) {
	soonest := ""
	for other, w := range t.wrong {
		if other != key && (soonest == "" || w.until.Before(t.wrong[soonest].until)) {
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
