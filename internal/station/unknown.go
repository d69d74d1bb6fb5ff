package station

import (
	"time"

	"gauged/internal/gauge"
)

// KeptUnknown is how many readings that are sent for a gauge which is not there, or not fed
// from outside, are kept in the history within unknownWithin, of all senders together, and
// how many of each gauge that are no readings. All are counted, and refused by their numbers.
const KeptUnknown = 200

const unknownWithin = 10 * time.Minute

// MostSenders is how many names of senders a station takes between two starts. Each is
// remembered with its highest number.
const MostSenders = 1000

// thinned lets some through in a time. The loop alone uses it.
type thinned struct {
	since time.Time
	kept  int
}

func (t *thinned) keeps(now time.Time) bool {
	if age := now.Sub(t.since); age < 0 || age >= unknownWithin {
		*t = thinned{since: now}
	}
	t.kept++
	return t.kept <= KeptUnknown
}

// newSender refuses one name too many, before the history is asked for it.
func (s *Station) newSender(source string) error {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if _, known := s.sources[source]; !known && len(s.sources) >= MostSenders {
		return gauge.Refused("refusal.sender.too-many", gauge.Count("most", MostSenders), gauge.Text("source", source))
	}
	return nil
}
