package gauge

import (
	"crypto/sha256"
	"encoding/hex"
	"time"
)

// Fact is one entry of the history: exactly one of its pointers is set. Facts
// are numbered from 1 without holes, in the order in which they became
// durable, and never change.
type Fact struct {
	Seq     uint64
	Reading *Reading
	Reject  *Reject
	State   *StateChange
	File    *File
	Job     *JobFact
	Gauge   *GaugeFact
	Release *Release
	Access  *AccessFact
}

// JobFact is one step of a job: a start, a reading taken, a discard, a verdict.
type JobFact struct {
	Job  uint64 // number of the job, from 1
	Time time.Time
	Kind string // the station's word for the step
	By   string // person or program that did it
	Data []byte // JSON whose shape belongs to the kind
}

// GaugeFact is something that happened to a gauge besides its readings: a check
// against a master, or a change of whether it may be used.
type GaugeFact struct {
	Gauge string
	Time  time.Time
	Kind  string // the station's word for it
	By    string // person or program that did it
	Data  []byte // JSON whose shape belongs to the kind
}

// File is one version of a shop's file, kept so that a verdict can be
// recomputed from what was in force.
type File struct {
	Hash    string // SHA-256 of the content, in hex
	Kind    string // procedure or parts
	Name    string // the id that the file gives itself
	Content []byte
	Time    time.Time // when this version was first seen
}

// Release puts one version of a shop's file in force, for the jobs that are
// started afterwards.
type Release struct {
	Hash   string // of the version, which the history has
	Kind   string // procedure or parts
	Name   string // the id that the file gives itself
	By     string // person that changed it, or "file" where that is not known
	Reason string // why, in the words of that person
	Time   time.Time
}

// AccessFact is a change of who may come in and what they may do, or that somebody was
// refused.
type AccessFact struct {
	Time    time.Time
	Kind    string // the word of package access for it
	By      string // person or program that did it
	Subject string // whom or what it is about: a person, the id of a token or a device, who was refused
	Data    []byte // JSON whose shape belongs to the kind
}

// HashContent returns the hash by which a file version is known.
func HashContent(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}

// Time is when the fact came about; zero where it has nothing in it.
func (f Fact) Time() time.Time {
	switch {
	case f.Reading != nil:
		return f.Reading.Time
	case f.Reject != nil:
		return f.Reject.Time
	case f.State != nil:
		return f.State.Time
	case f.File != nil:
		return f.File.Time
	case f.Job != nil:
		return f.Job.Time
	case f.Gauge != nil:
		return f.Gauge.Time
	case f.Release != nil:
		return f.Release.Time
	case f.Access != nil:
		return f.Access.Time
	}
	return time.Time{}
}
