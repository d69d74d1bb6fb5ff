package chain

import (
	"fmt"
	"strings"
	"time"
)

// Verification is what was found along the
type Verification struct {
	Facts    uint64 // numbers 1 to this one are what was stored
	Digest   Digest // of the link that ends there
	Upgraded uint64 // up to this one they had been stored before there was a chain
	// Difference is the first one; nil: there is none.
	Difference *Difference
	// Held are the heads that the history agrees with.
	Held []Head
}

// Deviation is how a history differs from its
type Deviation string

// The deviations.
const (
	Changed  Deviation = "changed"   // the fact is not the one that was stored
	Missing  Deviation = "missing"   // there is no such fact
	Inserted Deviation = "inserted"  // the fact was never stored there; what was stands under Other
	Doubled  Deviation = "doubled"   // there is another fact of this number
	Moved    Deviation = "moved"     // the fact was stored under another number, Other
	Added    Deviation = "added"     // the fact is in no link of the chain
	Unlinked Deviation = "unlinked"  // the link of these facts is missing
	Broken   Deviation = "broken"    // the link is not the one that was stored, and does not say which fact differs
	Remarked Deviation = "marks"     // the facts are what was stored, the marks of the link are not
	CutShort Deviation = "cut"       // the history ends before a head
	OtherEnd Deviation = "head"      // the history has another digest than a head, or no link ends there
	Ruined   Deviation = "structure" // the file cannot be read any more
	Relisted Deviation = "lists"     // the facts are what was stored, the lists by which they are found say something else
	Rebuilt  Deviation = "schema"    // the facts are what was stored, tables, indexes or triggers are not those of the program
)

// Difference is where a history differs from its
type Difference struct {
	What    Deviation
	Seq     uint64 // number of the fact
	Through uint64 // the fact is one of Seq to this one; 0: it is Seq
	Other   uint64 // another number, as What says
	Head    *Head
	Detail  string // what SQLite says, or which objects or rows differ

	// What stands there now; empty where nothing does.
	Kind  string // table of the fact
	Gauge string
	Job   uint64
	Time  time.Time
}

// String says what differs, in one sentence without its full stop.
func (d Difference) String() string {
	at := fmt.Sprintf("fact %d", d.Seq)
	if d.Through > d.Seq {
		at = fmt.Sprintf("facts %d to %d", d.Seq, d.Through)
	}
	switch d.What {
	case Changed:
		return at + d.stands() + " is not what was stored"
	case Missing:
		return at + " is missing"
	case Inserted:
		return fmt.Sprintf("%s%s was put in: what was stored there is fact %d now", at, d.stands(), d.Other)
	case Doubled:
		return at + d.stands() + " is there beside the one that was stored"
	case Moved:
		return fmt.Sprintf("%s%s was stored as fact %d", at, d.stands(), d.Other)
	case Added:
		return at + d.stands() + " was put in: no commit has it"
	case Unlinked:
		return "the link of " + at + " is missing from the chain"
	case Broken:
		return "the link of " + at + " is not what was stored: one of them differs, or the link itself"
	case Remarked:
		return "the marks of the link of " + at + " were changed; the facts are what was stored"
	case CutShort:
		return fmt.Sprintf("it ends with fact %d, the head is of fact %d: what lies between was cut off, or this is an older copy", d.Seq-1, d.Head.Seq)
	case OtherEnd:
		return fmt.Sprintf("%s has another digest than the head says: facts up to it are not what they were, or the head is of another history", at)
	case Ruined:
		return "the file cannot be read: " + d.Detail
	case Relisted:
		return "the facts are what was stored, and the lists by which they are found say something else: " + d.Detail
	case Rebuilt:
		return "the facts are what was stored, and the file has other tables, indexes or triggers than this program makes: " + d.Detail
	}
	return at + " differs"
}

// stands says what stands there now, between commas.
func (d Difference) stands() string {
	if d.Kind == "" {
		return ""
	}
	about := []string{strings.ReplaceAll(d.Kind, "_", " ")}
	if d.Gauge != "" {
		about = append(about, "gauge "+d.Gauge)
	}
	if d.Job > 0 {
		about = append(about, fmt.Sprintf("job %d", d.Job))
	}
	if !d.Time.IsZero() {
		about = append(about, d.Time.Format(time.RFC3339Nano))
	}
	return " (" + strings.Join(about, ", ") + ")"
}
