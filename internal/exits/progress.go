package exits

import (
	"encoding/json"
	"slices"
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
	Tried    time.Time     `json:"tried,omitzero"`     // time of the last of them
	Away     bool          `json:"away,omitempty"`     // in none of them the receiver was reached
	Missed   bool          `json:"missed,omitempty"`   // in the last of them it was not
	Refused  bool          `json:"refused,omitempty"`  // at the last of them the receiver let nobody in
	Back     time.Time     `json:"back,omitzero"`      // when it was reached again after it was not
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
func (p Progress) Failed(now time.Time, err error) Progress {
	if p.Failures == 0 {
		p.Failing, p.Away = now, true
	}
	missed := away(err)
	if p.Missed && !missed {
		p.Back = now
	}
	p.Away, p.Missed, p.Refused = p.Away && missed, missed, refused(err)
	p.Failures, p.Why, p.Tried = p.Failures+1, gauge.Told(err), now
	return p
}

// Again is the progress when the daemon starts. What fails did not fail while it was not tried.
func (p Progress) Again(now time.Time) Progress {
	off := now.Sub(p.Tried)
	if p.Failures == 0 || p.Tried.IsZero() || off < 0 {
		return p
	}
	for _, t := range []*time.Time{&p.Failing, &p.Back, &p.Resumed} {
		if !t.IsZero() {
			*t = t.Add(off)
		}
	}
	p.Tried = now
	return p
}

// Reached is the progress when the receiver is reached again after it was not. The time
// until then counts for no letter.
func (p Progress) Reached(now time.Time) Progress {
	if p.Away {
		return p.Taken(p.After)
	}
	p.Back, p.Missed, p.Refused = now, false, false
	return p
}

// GivenUp reports whether a letter of a fact of a time is to be given up after an attempt
// that failed: nothing was taken for so long, and the letter is that old too. So none is
// given up that was not tried, and after a long failure each has as long as the first had.
// The time in which the receiver was not reached, or the daemon did not run, counts not.
func (p Progress) GivenUp(now, of time.Time, after time.Duration) bool {
	if p.Failures == 0 || p.Missed {
		return false
	}
	return !slices.ContainsFunc([]time.Time{p.Failing, of, p.Resumed, p.Back}, func(t time.Time) bool { return now.Sub(t) < after })
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

// Dead is a letter that was given up.
type Dead struct {
	Seq     uint64        `json:"-"` // number of its fact
	Event   gauge.Event   `json:"event"`
	Time    time.Time     `json:"time"` // of the fact
	GivenUp time.Time     `json:"given_up"`
	Why     gauge.Message `json:"why,omitzero"` // the last attempt failed
}

func (l Dead) kept() gauge.DeadLetter { return gauge.DeadLetter{Seq: l.Seq, State: encoded(l)} }

func deadOf(d gauge.DeadLetter) (l Dead) {
	if err := json.Unmarshal(d.State, &l); err != nil {
		l = Dead{}
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
