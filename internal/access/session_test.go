package access

import (
	"testing"
	"time"
)

var monday = time.Date(2026, 3, 2, 7, 0, 0, 0, time.UTC)

func TestTriesSlowDown(t *testing.T) {
	tries := Tries{Free: 3}
	var waits []time.Duration
	now := monday
	for range 14 {
		if wait := tries.Begin("turner", now); wait > 0 {
			t.Fatalf("a try after its wait waits %v more", wait)
		}
		wait := max(0, tries.wrong["turner"].Until.Sub(now))
		waits, now = append(waits, wait), now.Add(wait)
	}
	if waits[0] != 0 || waits[1] != 0 || waits[2] != 2*time.Second || waits[3] != 4*time.Second || waits[13] != longest {
		t.Errorf("the waits are %v", waits)
	}
	if w := tries.Begin("somebody else", now); w != 0 {
		t.Errorf("somebody else waits %v", w)
	}
	tries.Right("turner")
	for range 3 {
		if w := tries.Begin("turner", now); w != 0 {
			t.Errorf("a try after a right one waits %v", w)
		}
	}
	if w := tries.Begin("turner", now); w != firstWait {
		t.Errorf("the fourth at once waits %v", w)
	}
}

// Who has to wait the longest is kept when many others are tried.
func TestTriesAreBounded(t *testing.T) {
	tries := Tries{Free: 3}
	for range 20 {
		tries.Begin("turner", monday)
	}
	for i := range 2 * mostTried {
		tries.Begin(string(rune('a'+i%26))+monday.Add(time.Duration(i)).String(), monday)
	}
	if len(tries.wrong) > mostTried || tries.Begin("turner", monday) == 0 {
		t.Errorf("%d are kept, and turner waits %v", len(tries.wrong), tries.wrong["turner"])
	}
}

func TestPairingServesOnce(t *testing.T) {
	var p Pairing
	if _, ok := p.Use("", monday); ok {
		t.Error("no code opens the door")
	}
	code, until := p.Begin("turner", monday)
	if len(code) != 9 || !until.Equal(monday.Add(10*time.Minute)) {
		t.Errorf("code %q until %v", code, until)
	}
	if by, ok := p.Use(code[:4]+"-"+code[5:]+" ", monday.Add(codeLives-1)); !ok || by != "turner" {
		t.Errorf("the code is refused: %q %v", by, ok)
	}
	if _, ok := p.Use(code, monday); ok {
		t.Error("the code serves twice")
	}
	code, _ = p.Begin("turner", monday)
	if _, ok := p.Use(code, monday.Add(codeLives)); ok {
		t.Error("the code serves after its time")
	}
	code, _ = p.Begin("turner", monday)
	for range codeTries {
		if _, ok := p.Use("0", monday); ok {
			t.Error("a wrong code is taken")
		}
	}
	if _, ok := p.Use(code, monday); ok {
		t.Error("the code serves after ten wrong ones")
	}
}

// turner is somebody, invented, and whose says whose session it is.
var turner = Person{Name: "turner", PIN: "a hash"}

func whose(s *Sessions, secret, device string, act bool, now time.Time) string {
	r := Register{people: map[string]Person{"turner": turner, "weber": {Name: "weber"}}}
	p, _ := s.Person(r, secret, device, act, now)
	return p.Name
}

// A session ends with the PIN, or the person, that it was opened with.
func TestSessionsEndWithThePIN(t *testing.T) {
	for what, people := range map[string]map[string]Person{
		"another PIN": {"turner": {Name: "turner", PIN: "another hash"}},
		"nobody":      {},
	} {
		var s Sessions
		secret := s.Begin(turner, "tablet", monday)
		if _, ok := s.Person(Register{people: people}, secret, "tablet", true, monday); ok {
			t.Errorf("with %s the session goes on", what)
		}
	}
}

func TestSessionsEnd(t *testing.T) {
	var s Sessions
	begin := func() string { return s.Begin(turner, "tablet", monday) }
	for what, of := range map[string]struct {
		secret, device string
		after          time.Duration
		do             func()
		want           string
	}{
		"at once":             {secret: "=", device: "tablet", want: "turner"},
		"on another device":   {secret: "=", device: "desk"},
		"with another secret": {secret: "x", device: "tablet"},
		"after a rest":        {secret: "=", device: "tablet", after: sessionRests},
		"just before":         {secret: "=", device: "tablet", after: sessionRests - 1, want: "turner"},
		"the clock went back": {secret: "=", device: "tablet", after: -time.Hour},
		"the device was left": {secret: "=", device: "tablet", do: func() { s.Leave("tablet") }},
		"another came":        {secret: "=", device: "tablet", do: func() { s.Begin(Person{Name: "weber"}, "tablet", monday) }},
	} {
		secret := begin()
		if of.do != nil {
			of.do()
		}
		named := of.secret
		if named == "=" {
			named = secret
		}
		if got := whose(&s, named, of.device, false, monday.Add(of.after)); got != of.want {
			t.Errorf("%s: it is the session of %q, want %q", what, got, of.want)
		}
	}
	secret := begin()
	for at := time.Duration(0); at < sessionLives; at += sessionRests / 2 {
		if whose(&s, secret, "tablet", true, monday.Add(at)) != "turner" {
			t.Fatalf("a session with an act each half hour ended after %v", at)
		}
	}
	if who := whose(&s, secret, "tablet", true, monday.Add(sessionLives)); who != "" {
		t.Errorf("after twelve hours it is the session of %q still", who)
	}
}

func TestSessionsAreBounded(t *testing.T) {
	var s Sessions
	for i := range 3 * mostSessions {
		s.Begin(turner, monday.Add(time.Duration(i)).String(), monday.Add(time.Duration(i)))
	}
	if len(s.open) > mostSessions {
		t.Errorf("%d sessions are kept", len(s.open))
	}
}
