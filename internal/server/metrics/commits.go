package metrics

import (
	"time"

	"github.com/prometheus/client_golang/prometheus"
)

// Commits measures the commits of the history. Its Observe goes into the
// station's options, so it is made before the station.
type Commits struct {
	seconds  prometheus.Histogram
	failures prometheus.Counter
}

// NewCommits returns a measure that has seen nothing.
func NewCommits() *Commits {
	return &Commits{
		seconds: prometheus.NewHistogram(prometheus.HistogramOpts{
			Name: "gauged_history_commit_seconds",
			Help: "How long a commit of the history took until it was durable, failed ones included.",
			// From a quick solid-state disk to a card that stalls.
			Buckets: prometheus.ExponentialBuckets(0.00025, 2, 14),
		}),
		failures: prometheus.NewCounter(prometheus.CounterOpts{
			Name: "gauged_history_commit_failures_total",
			Help: "Commits of the history that failed since the daemon started.",
		}),
	}
}

// Observe takes one commit. It does not block.
func (c *Commits) Observe(took time.Duration, _ int, err error) {
	c.seconds.Observe(took.Seconds())
	if err != nil {
		c.failures.Inc()
	}
}

func (c *Commits) describe(ch chan<- *prometheus.Desc) {
	c.seconds.Describe(ch)
	c.failures.Describe(ch)
}

func (c *Commits) collect(ch chan<- prometheus.Metric) {
	c.seconds.Collect(ch)
	c.failures.Collect(ch)
}
