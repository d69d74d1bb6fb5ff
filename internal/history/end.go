package history

import (
	"time"

	"gauged/internal/history/chain"
)

// ending is where the chain ends.
type ending struct {
	seq    uint64
	digest chain.Digest
}

// Head is where the history ends now, signed in the name of a station.
func (s *Store) Head(station string, now time.Time) chain.Head {
	end := s.end.Load()
	return s.Sign(chain.Head{Seq: end.seq, Time: now, Digest: end.digest[:], Station: station})
}

// Sign signs a head with the station's key.
func (s *Store) Sign(h chain.Head) chain.Head { return h.Sign(s.key) }
