package station

import (
	"context"

	"gauged/internal/gauge"
)

// meant asks back whether a serial number that looks like another one is meant.
func (s *Station) meant(ctx context.Context, r StartRequest) error {
	if r.Confirmed {
		return nil
	}
	other, err := s.Alike(ctx, r.UnitSerial)
	if err != nil || other == nil {
		return err
	}
	return gauge.Refused("refusal.serial.alike", gauge.Text("serial", r.UnitSerial), gauge.Text("other", other.Serial),
		gauge.Count("job", other.Job), gauge.Moment("worked", other.Started))
}
