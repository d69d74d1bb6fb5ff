package station

import (
	"context"
	"fmt"
	"slices"
	"time"

	"gauged/internal/health/jobs"
)

// workTrack is the error of a gauge in the course of time as the jobs and the
// checks tell it; nil when no job compares the gauge. It is not to be changed.
func (s *Station) workTrack(ctx context.Context, gaugeID string) ([]jobs.Point, error) {
	if _, err := s.WorkErrors(ctx); err != nil {
		return nil, fmt.Errorf("gauge %s: %w", gaugeID, err)
	}
	s.work.mu.Lock()
	defer s.work.mu.Unlock()
	return s.work.tracks[gaugeID], nil
}

// tracks are the errors that a site has found, with a jump at each adjustment: a
// line from the day before to the day after would not be there.
func tracks(site jobs.Site, adjusted map[string][]jobs.Point) map[string][]jobs.Point {
	all := map[string][]jobs.Point{}
	for _, track := range site.Tracks {
		points := slices.Clone(track.Points)
		for _, left := range adjusted[track.Gauge] {
			if !left.Time.After(points[0].Time) {
				continue
			}
			// The check as found is a point of its own; days as floats may put it a little later.
			const rounding = time.Millisecond
			at := slices.IndexFunc(points, func(p jobs.Point) bool { return p.Time.After(left.Time.Add(rounding)) })
			if at < 0 {
				at = len(points)
			}
			left.Time = later(left.Time, points[at-1].Time)
			points = slices.Insert(points, at, left)
		}
		all[track.Gauge] = points
	}
	return all
}
