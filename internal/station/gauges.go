package station

import (
	"context"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
)

// GaugeInfo is what the station knows of a gauge beforehand.
type GaugeInfo struct {
	ID         string
	Title      string
	Plate      gauge.Plate
	Connection string // for people
	Layout     string
	Mode       gauge.Mode
	Press      gauge.Meaning // what a press of its data button is for; empty: its reading
	Outside    bool          // fed by programs, not by a line of this station
	Unit       gauge.Unit    // of Resolution
	Resolution gauge.Length  // 0 when not stated
	Ability    gauge.Ability
	Pitch      gauge.Length   // that its electronics count in; 0 when not stated
	Presets    []gauge.Length // that may have been left on
	// A reading older than this cannot be captured, and a gauge that is fed from
	// outside is silent after it; 0: no limit.
	Fresh time.Duration
}

// GaugeStatus is a gauge as it stands.
type GaugeStatus struct {
	GaugeInfo
	State      gauge.State
	Since      time.Time
	Reason     gauge.Message
	Last       gauge.Fact // its last stored reading; no Reading when there is none
	Readings   uint64     // stored since the station started
	Rejected   map[gauge.Reason]uint64
	Garbled    Garbled // what came from a button since its last reading
	lastNumber uint64
	arrived    time.Time // when the last reading of a gauge that is fed from outside came here
}

// Garbled is what came at the press of a button and was no reading.
type Garbled struct {
	Frames uint64 // 0: none
	Last   gauge.Reject
}

// Report is what a gauge's line gives: exactly one pointer is set.
type Report struct {
	Reading *gauge.Reading
	Reject  *gauge.Reject
	State   *gauge.StateChange
	Count   uint64 // how many rejected frames Reject stands for; 0 counts as 1
}

// newHealth is that of a gauge of which nothing is known yet; the loop, or the start, asks.
func (s *Station) newHealth(id string) *health.Gauge {
	return health.New(s.plans[id]).Without(id, s.missing)
}

// Health returns what is known of a gauge besides its readings.
func (s *Station) Health(gaugeID string) (*health.Gauge, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	h, ok := s.health[gaugeID]
	if !ok {
		return nil, s.noGauge(gaugeID)
	}
	return h, nil
}

// Review reviews the checks of a gauge at a point; without a name that is the one that
// decides. nil where the gauge has no checks, or no such point.
func (s *Station) Review(_ context.Context, gaugeID, point string) (*health.Reviewed, error) {
	h, err := s.Health(gaugeID)
	if err != nil {
		return nil, err
	}
	return h.Review(point), nil
}
