package station

import (
	"context"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/health"
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
		f = d.typed(gaugeID, value, r, by)
		return nil
	})
	return f, err
}

func (d *draft) typed(gaugeID string, value gauge.Length, r TypedReading, by string) gauge.Fact {
	return d.reading(gauge.Reading{Gauge: gaugeID, Time: d.s.o.Now(), Value: value, Shown: r.Shown, Unit: r.Unit, Status: gauge.StatusOK, EnteredBy: by})
}

// GoOnCheck stores a step of a check that was begun, and before it the reading that was typed
// for it; nil: none was. A restart finds both again.
func (s *Station) GoOnCheck(ctx context.Context, gaugeID, by string, step health.StepData, r *TypedReading) (f gauge.Fact, err error) {
	var value gauge.Length
	if r != nil {
		if value, err = s.readByEye(gaugeID, *r); err != nil {
			return f, err
		}
	}
	err = s.do(ctx, func(d *draft) error {
		step := step
		if r != nil {
			f = d.typed(gaugeID, value, *r, by)
			step.Taken = f.Seq
		}
		_, err := d.gaugeFact(gaugeID, health.KindUnderWay, by, step)
		return err
	})
	return f, err
}
