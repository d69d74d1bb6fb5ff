package station

import (
	"errors"
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/signs"
)

// oneInBurst: where one frame in so many comes soon after the one before, the times of
// arrival are not those of the gauge.
const oneInBurst = 20

// frames looks at a gauge that sends all the time. The usual time between two
// frames is the median; a gauge that was silent for longer than is healthy was away,
// and lost none.
func (l *looker) frames() {
	if l.gauge.Mode != gauge.ModeStream {
		return
	}
	if len(l.facts) < 3 {
		l.says(signs.LostFrames, signs.Finding{}, errors.New("it has sent too few frames"))
		return
	}
	var gaps []time.Duration
	for i, f := range l.facts[1:] {
		gaps = append(gaps, f.Reading.Time.Sub(l.facts[i].Reading.Time))
	}
	sorted := slices.Sorted(slices.Values(gaps))
	usual := sorted[len(sorted)/2]
	if sorted[len(sorted)/oneInBurst] <= usual/2 {
		l.says(signs.LostFrames, signs.Finding{}, errors.New("its frames arrive in bursts, which hides the time between them"))
		return
	}
	at := l.facts[0].Reading.Time
	times := []time.Time{at}
	for _, gap := range gaps {
		if l.gauge.Fresh > 0 && gap > l.gauge.Fresh {
			gap = usual
		}
		at = at.Add(gap)
		times = append(times, at)
	}
	f, err := signs.FindLostFrames(times, l.rejects, usual, usualShare, signRate)
	l.says(signs.LostFrames, f, err)
}
