package forward

import (
	"math/rand/v2"
	"time"
)

// backoff gives the pauses between attempts: each twice the one before, up to
// the longest. Each is up to a fifth shorter or longer, so that many benches do
// not come back to a daemon in step.
type backoff struct {
	first, longest time.Duration
	failures       int
}

func (b *backoff) next() time.Duration {
	wait := b.longest
	if b.failures < 32 {
		wait = min(b.first<<b.failures, b.longest)
	}
	b.failures++
	return time.Duration(float64(wait) * (0.8 + 0.4*rand.Float64()))
}

// reset begins again with the first pause.
func (b *backoff) reset() { b.failures = 0 }
