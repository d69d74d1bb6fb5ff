package gauge

import "time"

// Times is a span of time: from Since on, and before Until. An end that is zero is open.
type Times struct {
	Since, Until time.Time
}

// Open reports whether every time lies in the span.
func (s Times) Open() bool { return s.Since.IsZero() && s.Until.IsZero() }

// Has reports whether a time lies in the span.
func (s Times) Has(t time.Time) bool {
	return (s.Since.IsZero() || !t.Before(s.Since)) && (s.Until.IsZero() || t.Before(s.Until))
}

// Query chooses entries of the history, in its order. One without a time lies in no span
// but the open one.
type Query struct {
	Gauge string // empty: of all
	Times
	After uint64 // only those with higher numbers
	Limit int    // at most this many
	// Bytes ends the list of readings or rejects at the one with which their frames have
	// more bytes together; 0: no bound.
	Bytes int
}

// JobQuery chooses jobs, the newest first. What is empty chooses nothing.
type JobQuery struct {
	Open      bool              // only those that are not closed
	Aside     bool              // only those that are set aside
	Unit      string            // serial number, as it is compared; also one that was put right later
	Labels    map[string]string // that a job has, all of them; as they are compared
	Procedure string            // id
	Outcome   string
	// Unfinished: only those that were closed before they had a verdict; Standing: none of them.
	Unfinished, Standing bool

	Gauge  string // that gave it a reading
	By     string // who started it, took it up, or signed or closed it, compared as serial numbers are
	Times         // in which it was started
	Before uint64 // only jobs with lower numbers; 0: all
	After  uint64 // only jobs with higher numbers, and of them the lowest ones; 0: all
	Limit  int
}

// Worked is that a job was begun on a unit.
type Worked struct {
	Serial  string // as it was put right
	Job     uint64
	Started time.Time
}

// Request is what a caller asked to be stored, under an id of the caller's. Each id
// belongs to one request for good.
type Request struct {
	ID          string
	Hash        string // of everything that was asked
	First, Last uint64 // numbers of the facts that it stored; other requests' may lie between
}
