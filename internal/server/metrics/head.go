package metrics

import (
	"encoding/hex"
	"time"

	"github.com/prometheus/client_golang/prometheus"
)

// headEvery is how long a signed head is shown before a newer one is: each has labels of
// its own.
const headEvery = time.Hour

func (m *Metrics) collectHead(ch chan<- prometheus.Metric) {
	m.mu.Lock()
	if now := m.o.Now(); m.head.Time.IsZero() || now.Sub(m.head.Time).Abs() >= headEvery {
		m.head = m.o.Station.Head()
	}
	h := m.head
	m.mu.Unlock()
	sample(ch, headDesc, prometheus.GaugeValue, float64(h.Seq), h.Station, h.Time.Format(time.RFC3339), hex.EncodeToString(h.Digest), hex.EncodeToString(h.Signature))
	sample(ch, keyDesc, prometheus.GaugeValue, 1, m.o.Station.ID(), hex.EncodeToString(m.o.Station.PublicKey()))
}
