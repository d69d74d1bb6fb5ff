package station

import (
	"context"

	"gauged/internal/health/check"
)

// Configuration is what of a station's configuration may change while it runs. It has the
// gauges of the start, and no others.
type Configuration struct {
	Gauges  []GaugeInfo
	Masters map[string]check.Master
	Plans   map[string]*check.Plan
}

// Configure puts another configuration in force. Jobs that are open keep what was known of
// their gauges when they began; checks that are due are counted by the new plans at once.
func (s *Station) Configure(ctx context.Context, c Configuration) error {
	return s.do(ctx, func(d *draft) error {
		for _, info := range c.Gauges {
			d.gauge(info.ID).GaugeInfo = info
		}
		for id := range d.s.health {
			changed := *d.healthOf(id)
			changed.Plan = c.Plans[id]
			d.health[id] = &changed
		}
		d.configured = &c
		return nil
	})
}
