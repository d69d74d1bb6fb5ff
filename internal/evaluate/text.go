package evaluate

import "gauged/internal/gauge"

// Text writes a length in the procedure's unit with its usual decimals, and
// with one more when they would round.
func (p *Procedure) Text(l gauge.Length) string { return p.number(l) }
