package jobs

import (
	"slices"
	"time"
)

// tracks are the errors that a site has found, with a jump at each adjustment: a
// line from the day before to the day after would not be there.
func tracks(site Site, adjusted map[string][]Point) map[string][]Point {
	all := map[string][]Point{}
	for _, track := range site.Tracks {
		points := slices.Clone(track.Points)
		for _, left := range adjusted[track.Gauge] {
			if !left.Time.After(points[0].Time) {
				continue
			}
			// The check as found is a point of its own; days as floats may put it a little later.
			const rounding = time.Millisecond
			at := slices.IndexFunc(points, func(p Point) bool { return p.Time.After(left.Time.Add(rounding)) })
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
