// Package retry paces attempts at what failed.
package retry

import (
	"math/rand/v2"
	"time"
)

// Pauses are the waits between attempts: each twice the one before, up to the longest.
// Each is up to a fifth shorter or longer, so that many who failed together do not all
// try again at once.
type Pauses struct {
	First, Longest time.Duration
	failures       int
}

// Next is the pause after one more failure.
func (p *Pauses) Next() time.Duration {
	wait := p.Longest
	if p.failures < 32 {
		wait = min(p.First<<p.failures, p.Longest)
	}
	p.failures++
	return time.Duration(float64(wait) * (0.8 + 0.4*rand.Float64()))
}

// Reset begins again with the first pause.
func (p *Pauses) Reset() { p.failures = 0 }
