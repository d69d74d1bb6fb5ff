package exits

import (
	"encoding/json"
	"time"

	"gauged/internal/gauge"
)

// Progress is how far an exit has come, and what keeps it. It never changes; what happens
// makes another one of it.
type Progress struct {
	After    uint64        `json:"-"`                  // number of the last fact that it is done with
	Failures uint64        `json:"failures,omitempty"` // since the last letter that was taken
	Failing  time.Time     `json:"failing,omitzero"`   // time of the first of them
	Why      gauge.Message `json:"why,omitzero"`       // of the last of them
	Paused   time.Time     `json:"paused,omitzero"`    // zero: it is not
	PausedBy string        `json:"paused_by,omitempty"`
	Resumed  time.Time     `json:"resumed,omitzero"` // the last time
}

// Passed is the progress behind a fact that is not handed on.
func (p Progress) Passed(seq uint64) Progress {
	p.After = seq
	return p
}

// Taken is the progress behind a fact that its receiver has taken.
func (p Progress) Taken(seq uint64) Progress {
	return Progress{After: seq, Paused: p.Paused, PausedBy: p.PausedBy, Resumed: p.Resumed}
}

// Failed is the progress after an attempt that failed.
func (p Progress) Failed(now time.Time, why gauge.Message) Progress {
	if p.Failures == 0 {
		p.Failing = now
	}
	p.Failures, p.Why = p.Failures+1, why
	return p
}

// GivenUp reports whether a letter of a fact of a time is to be given up after an attempt
// that failed: nothing was taken for so long, and the letter is that old too. So none is
// given up that was not tried, and after a long failure each has as long as the first had.
func (p Progress) GivenUp(now, of time.Time, after time.Duration) bool {
	return p.Failures > 0 && now.Sub(p.Failing) >= after && now.Sub(of) >= after && now.Sub(p.Resumed) >= after
}

// Stopped is the progress of an exit that somebody pauses, or, without a name, its receiver.
func (p Progress) Stopped(now time.Time, by string) Progress {
	if p.Paused.IsZero() {
		p.Paused, p.PausedBy = now, by
	}
	return p
}

// GoesOn is the progress of an exit that is resumed: what failed before counts no more.
func (p Progress) GoesOn(now time.Time) Progress {
	return Progress{After: p.After, Resumed: now}
}

// Within is the progress in a history that ends with a number. One that has lost its end
// gives the numbers behind that out again, and what they stand for then was not handed on.
func (p Progress) Within(last uint64) Progress {
	p.After = min(p.After, last)
	return p
}

// kept is the progress as it is stored.
func (p Progress) kept(name string) gauge.Exit {
	return gauge.Exit{Name: name, After: p.After, State: encoded(p)}
}

// progressOf reads a stored progress. Of one that cannot be read the place alone holds.
func progressOf(e gauge.Exit) Progress {
	var p Progress
	if err := json.Unmarshal(e.State, &p); err != nil {
		p = Progress{}
	}
	p.After = e.After
	return p
}

// Letter is one that was given up.
type Letter struct {
	Seq     uint64        `json:"-"` // number of its fact
	Event   gauge.Event   `json:"event"`
	Time    time.Time     `json:"time"` // of the fact
	GivenUp time.Time     `json:"given_up"`
	Why     gauge.Message `json:"why,omitzero"` // the last attempt failed
}

func (l Letter) kept() gauge.DeadLetter { return gauge.DeadLetter{Seq: l.Seq, State: encoded(l)} }

func letterOf(d gauge.DeadLetter) (l Letter) {
	if err := json.Unmarshal(d.State, &l); err != nil {
		l = Letter{}
	}
	l.Seq = d.Seq
	return l
}

// encoded is the JSON of a value that always has one.
func encoded(v any) []byte {
	content, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return content
}
