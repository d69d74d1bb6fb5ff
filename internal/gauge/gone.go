package gauge

// Gone says of a change of a gauge's state that no reading comes after it, so that nobody
// moves a shaft for nothing; nil for any other.
func (c *StateChange) Gone() error {
	switch c.State {
	case StateAbsent, StateSilent, StateFailed:
		args := []Arg{Text("gauge", c.Gauge), WordOf("state", "state", c.State)}
		if !c.Reason.IsZero() {
			args = append(args, Nested("why", c.Reason))
		}
		return Refused("refusal.gauge.gone", args...)
	}
	return nil
}
