package station

import (
	"context"
	"fmt"

	"gauged/internal/drift"
)

// Review says how the error of a gauge moves from check to check, in metres, and
// returns the checks that it says it from. A gauge without checks has no review. The
// advice on intervals is that of the gauge's health: without zero returns, and by use.
func (s *Station) Review(ctx context.Context, gaugeID string) (*drift.Review, []drift.Check, error) {
	records, err := s.Checks(ctx, gaugeID)
	if err != nil || len(records) == 0 {
		return nil, nil, err
	}
	var o drift.Options
	var checks []drift.Check
	for _, c := range records {
		check := c.drift()
		if n := len(checks); n > 0 && check.Time.Before(checks[n-1].Time) {
			check.Time = checks[n-1].Time // the clock was set back; the order stands
		}
		if limit := c.Result.Limit; limit != nil {
			o.MPE = limit.Metres()
		}
		checks = append(checks, check)
	}
	review, err := drift.NewReview(checks, o)
	if err != nil {
		return nil, nil, fmt.Errorf("checks of gauge %s: %w", gaugeID, err)
	}
	h, err := s.Health(gaugeID)
	if err != nil {
		return nil, nil, err
	}
	review.Advice, review.AdviceRefused = h.advice(review.Steps != nil && review.Steps.Step != nil)
	return review, checks, nil
}
