package access

import (
	"crypto/subtle"
	"strings"

	"gauged/internal/gauge"
)

// How many characters a PIN and what a badge reads as may have. A badge names nobody, so
// that who guesses has all of them to hit; shorter ones were given out before, and hold.
const (
	leastPIN, mostPIN     = 4, 12
	leastBadge, mostBadge = 8, 64
	shortestBadge         = 5
)

// HashPIN hashes a PIN, and refuses one that is none.
func HashPIN(pin string) (string, error) {
	if len(pin) < leastPIN || len(pin) > mostPIN || strings.Trim(pin, "0123456789") != "" {
		return "", gauge.WrongInput("refusal.access.pin", gauge.Count("least", leastPIN), gauge.Count("most", mostPIN))
	}
	return HashSecret(pin, nil), nil
}

// HashBadge hashes what a badge reads as. All badges of a station share a salt, so that
// one hash tells whose one is. One that is somebody's already is refused.
func (r Register) HashBadge(badge string) (string, error) {
	if len(badge) < leastBadge || len(badge) > mostBadge {
		return "", gauge.WrongInput("refusal.access.badge", gauge.Count("least", leastBadge), gauge.Count("most", mostBadge))
	}
	if p, taken := r.carrier(badge); taken {
		return "", gauge.Refused("refusal.access.badge-taken", gauge.Text("name", p.Name))
	}
	for _, p := range r.people {
		if p.Badge != "" {
			return HashSecret(badge, saltOf(p.Badge)), nil
		}
	}
	return HashSecret(badge, nil), nil
}

// Prove returns the person of that name who knows the PIN, or whose badge reads as secret.
// Without a name it is the person who carries the badge.
func (r Register) Prove(name, secret string) (Person, bool) {
	if name == "" {
		if len(secret) < shortestBadge {
			return Person{}, false
		}
		return r.carrier(secret)
	}
	p, ok := r.people[name]
	ok = ok && (p.PIN != "" && SameSecret(p.PIN, secret) || p.Badge != "" && SameSecret(p.Badge, secret))
	if !ok {
		return Person{}, false
	}
	return p, true
}

// carrier is the person whose badge reads so.
func (r Register) carrier(badge string) (found Person, ok bool) {
	computed := map[string]string{} // hashes of what was read, by their salt
	for _, p := range r.people {
		salt := saltOf(p.Badge)
		if salt == nil {
			continue
		}
		if computed[string(salt)] == "" {
			computed[string(salt)] = HashSecret(badge, salt)
		}
		if subtle.ConstantTimeCompare([]byte(computed[string(salt)]), []byte(p.Badge)) == 1 {
			found, ok = p, true
		}
	}
	return found, ok
}

// Paired reports whether a device may come in still.
func (r Register) Paired(id string) bool {
	d, ok := r.devices[id]
	return ok && d.Unpaired.IsZero()
}
