package devices

import (
	"math/rand/v2"
	"time"
)

// How long a port that failed is left alone.
const (
	backoffFirst = 250 * time.Millisecond
	backoffMost  = 15 * time.Second
)

// backoff doubles the wait after each failure. Only a valid frame resets it: a
// port that opens and then fails at once is no success.
type backoff struct{ failures int }

func (b *backoff) reset() { b.failures = 0 }

// next returns the wait after one more failure, up to a fifth shorter or
// longer so that gauges on one hub do not all try at once.
func (b *backoff) next() time.Duration {
	wait := backoffMost
	if b.failures < 6 { // 250 ms * 2^6 is beyond the most
		wait = backoffFirst << b.failures
	}
	b.failures++
	return time.Duration(float64(wait) * (0.8 + 0.4*rand.Float64()))
}
