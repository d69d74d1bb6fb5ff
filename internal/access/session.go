package access

import (
	"crypto/rand"
	"crypto/sha256"
	"sync"
	"time"
)

const (
	sessionRests = time.Hour      // without a sign of the person, after which a session ends
	sessionLives = 12 * time.Hour // at most: a shift and its overtime
	mostSessions = 1000
)

// Sessions is who has said on which device who they are. A session ends when the person
// leaves, an hour after the last act, after twelve hours, and when the daemon ends. The
// zero Sessions is ready. Times are those of one clock that no one sets: time.Now has it
// inside, and what an injected clock gives is taken as it is.
type Sessions struct {
	mu   sync.Mutex
	open map[[sha256.Size]byte]session
}

type session struct {
	person, device string
	proof          string // the hashes by which the person was known then
	began, seen    time.Time
}

// Begin opens a session of a person on a device, and ends the one that the device had. It
// returns the secret with which the device names it.
func (s *Sessions) Begin(p Person, device string, now time.Time) (secret string) {
	secret = rand.Text()
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.open == nil {
		s.open = map[[sha256.Size]byte]session{}
	}
	s.end(func(o session) bool { return o.device == device || o.over(now) })
	for len(s.open) >= mostSessions {
		s.endOldest()
	}
	s.open[sha256.Sum256([]byte(secret))] = session{p.Name, device, p.PIN + p.Badge, now, now}
	return secret
}

// Person is whose session a secret names on a device, and false when it is nobody's, or the
// person has another PIN or badge since, or is gone. Act tells that the person did
// something, which a page that renews itself is not.
func (s *Sessions) Person(r Register, secret, device string, act bool, now time.Time) (Person, bool) {
	key := sha256.Sum256([]byte(secret))
	s.mu.Lock()
	defer s.mu.Unlock()
	o, ok := s.open[key]
	switch {
	case !ok || o.device != device:
		return Person{}, false
	case o.over(now):
		delete(s.open, key)
		return Person{}, false
	}
	p, there := r.Person(o.person)
	if !there || p.PIN+p.Badge != o.proof {
		delete(s.open, key)
		return Person{}, false
	}
	if act {
		o.seen = now
		s.open[key] = o
	}
	return p, true
}

// Leave ends the sessions of a device.
func (s *Sessions) Leave(device string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.end(func(o session) bool { return o.device == device })
}

func (s *Sessions) end(which func(session) bool) {
	for key, o := range s.open {
		if which(o) {
			delete(s.open, key)
		}
	}
}

func (s *Sessions) endOldest() {
	var oldest [sha256.Size]byte
	var at time.Time
	for key, o := range s.open {
		if at.IsZero() || o.seen.Before(at) {
			oldest, at = key, o.seen
		}
	}
	delete(s.open, oldest)
}

func (o session) over(now time.Time) bool {
	return now.Sub(o.seen) >= sessionRests || now.Sub(o.began) >= sessionLives || now.Before(o.began)
}
