package signs

import (
	"slices"
	"time"

	"gauged/internal/gauge"
)

// oneInBurst: where one frame in so many comes soon after the one before, the times of
// arrival are not those of the gauge.
const oneInBurst = 20

// frames looks at a gauge that sends all the time. The usual time between two
// frames is the median; a gauge that was silent for longer than is healthy was away,
// and lost none.
func (l *looker) frames() {
	if l.Gauge.Mode != gauge.ModeStream {
		return
	}
	if len(l.Readings) < 3 {
		l.says(LostFrames, Finding{}, gauge.Refused("signs.few_sent"))
		return
	}
	var gaps []time.Duration
	for i, f := range l.Readings[1:] {
		gaps = append(gaps, f.Time.Sub(l.Readings[i].Time))
	}
	sorted := slices.Sorted(slices.Values(gaps))
	usual := sorted[len(sorted)/2]
	if sorted[len(sorted)/oneInBurst] <= usual/2 {
		l.says(LostFrames, Finding{}, gauge.Refused("signs.bursts"))
		return
	}
	at := l.Readings[0].Time
	times := []time.Time{at}
	for _, gap := range gaps {
		if l.Gauge.Fresh > 0 && gap > l.Gauge.Fresh {
			gap = usual
		}
		at = at.Add(gap)
		times = append(times, at)
	}
	f, err := FindLostFrames(times, l.Rejects, usual, usualShare, signRate)
	l.says(LostFrames, f, err)
}
