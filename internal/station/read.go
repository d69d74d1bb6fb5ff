package station

import (
	"context"
	"strings"

	"gauged/internal/gauge"
)

// ReadNow returns what a gauge shows now, for what is no job. A polled gauge is
// asked; of one that sends all the time it is the newest reading, when it is fresh.
func (s *Station) ReadNow(ctx context.Context, gaugeID string) (f gauge.Fact, err error) {
	after, err := s.askGauge(ctx, gaugeID)
	if err != nil {
		return f, err
	}
	err = s.do(ctx, func(d *draft) error {
		f, err = d.fresh(gaugeID)
		if err == nil && f.Seq <= after {
			err = gauge.Refused("refusal.gauge.no-new-reading", gauge.Text("gauge", gaugeID))
		}
		return err
	})
	return f, err
}

// EnterReading stores what somebody read on a gauge without a connection, for what
// is no job.
func (s *Station) EnterReading(ctx context.Context, gaugeID string, r TypedReading, by string) (f gauge.Fact, err error) {
	if strings.TrimSpace(by) == "" {
		return f, gauge.WrongInput("refusal.reading.who")
	}
	value, err := s.readByEye(gaugeID, r)
	if err != nil {
		return f, err
	}
	err = s.do(ctx, func(d *draft) error {
		f = d.reading(gauge.Reading{
			Gauge: gaugeID, Time: s.o.Now(), Value: value, Shown: r.Shown, Unit: r.Unit, Status: gauge.StatusOK, EnteredBy: by,
		})
		return nil
	})
	return f, err
}
