package drift

import "time"

// Beyond says that the errors that the last checks found are beyond the limit. What the
// line says of it is in [Reach].
type Beyond struct {
	Since  time.Time  `json:"since"`            // of the first of those checks
	Inside *time.Time `json:"inside,omitempty"` // the check before it, which was inside; nil: none was
	Checks int        `json:"checks"`           // how many they are
}

// beyondOf looks from the last check back for one that left the error inside the limit.
func beyondOf(checks []Check, o Options) *Beyond {
	if o.MPE == 0 {
		return nil
	}
	var b Beyond
	for i := len(checks) - 1; i >= 0; i-- {
		c := checks[i]
		if c.Left != nil && !o.beyond(*c.Left) || c.Adjusted || !o.beyond(c.Found) {
			b.Inside = &checks[i].Time
			break
		}
		b.Since = c.Time
		b.Checks++
	}
	if b.Checks == 0 {
		return nil
	}
	return &b
}
