package history

import (
	"fmt"
	"strings"
	"time"
)

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
	case Marks:
		return "the marks of the link of " + at + " were changed; the facts are what was stored"
	case CutShort:
		return fmt.Sprintf("it ends with fact %d, the head is of fact %d: what lies between was cut off, or this is an older copy", d.Seq-1, d.Head.Seq)
	case OtherEnd:
		return fmt.Sprintf("%s has another digest than the head says: facts up to it are not what they were, or the head is of another history", at)
	case Ruined:
		return "the file cannot be read: " + d.Detail
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
