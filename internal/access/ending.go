package access

import (
	"crypto/x509"
	"time"

	"gauged/internal/gauge"
)

// How long before its end a certificate is spoken of: one that was given, and that of the
// own authority, which every device has to trust anew.
const (
	givenEnds     = 30 * 24 * time.Hour
	authorityEnds = 365 * 24 * time.Hour
)

// Troubles says which certificate ends before long, or has ended. An own one is renewed by
// itself; its authority is not.
func (s *Secure) Troubles() []gauge.Message {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.authority != nil {
		return endOf(s.authority, s.now(), authorityEnds, s.files.Dir, "trouble.authority.ends", "trouble.authority.ended")
	}
	return endOf(s.pair.Leaf, s.now(), givenEnds, s.files.Certificate, "trouble.certificate.ends", "trouble.certificate.ended")
}

func endOf(c *x509.Certificate, now time.Time, before time.Duration, file, ends, ended string) []gauge.Message {
	code := ends
	switch {
	case now.After(c.NotAfter):
		code = ended
	case now.Add(before).Before(c.NotAfter):
		return nil
	}
	return []gauge.Message{gauge.Say(code, gauge.Text("file", file), gauge.Moment("at", c.NotAfter))}
}
