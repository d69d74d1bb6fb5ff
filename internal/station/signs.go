package station

import (
	"context"
	"fmt"
	"slices"
	"time"

	"gauged/internal/fleet/signature"
	"gauged/internal/gauge"
	"gauged/internal/statistics"
)

const (
	// signRate is how often a look at a healthy gauge finds one sign or another
	// that is not there.
	signRate signature.Rate = 0.001
	// signReadings is how many readings are looked at: the newest.
	signReadings = 1000
)

// usualShare is how often a healthy gauge loses a frame or flags its battery; the
// number is ours.
var usualShare = signature.Share{Count: 1, Of: 1000}

// Sign is what one look at a gauge's own readings says: that something is the
// matter, that nothing is, or why it cannot be judged.
type Sign struct {
	Kind    signature.Kind
	Found   bool
	Detail  string // what was found
	Refused string // why it cannot be judged
}

// Signs looks for what a failing gauge shows in its own readings and checks.
func (s *Station) Signs(ctx context.Context, gaugeID string) ([]Sign, error) {
	s.mu.RLock()
	g, ok := s.gauges[gaugeID]
	s.mu.RUnlock()
	if !ok {
		return nil, fmt.Errorf("%w: there is no gauge %q", ErrNotFound, gaugeID)
	}
	facts, err := s.o.Store.RecentReadings(ctx, gaugeID, signReadings)
	if err != nil {
		return nil, err
	}
	checks, err := s.Checks(ctx, gaugeID)
	if err != nil {
		return nil, err
	}
	l := looker{gauge: g.GaugeInfo, facts: facts, checks: checks}
	l.resolution()
	l.battery()
	if err := l.frames(ctx, s.o.Store); err != nil {
		return nil, err
	}
	l.noise()
	l.hysteresis()
	return l.signs, nil
}

// looker looks at one gauge.
type looker struct {
	gauge  GaugeInfo
	facts  []gauge.Fact // its newest readings, oldest first
	checks []*CheckRecord
	signs  []Sign
}

func (l *looker) says(kind signature.Kind, f signature.Finding, err error) {
	sign := Sign{Kind: kind, Found: f.Kind != "", Detail: f.Detail}
	if err != nil {
		sign.Refused = err.Error()
	}
	l.signs = append(l.signs, sign)
}

// step is that of the display; 0 when it is not stated.
func (l *looker) step() gauge.Length {
	if step := l.gauge.Ability.Resolution; step != nil {
		return *step
	}
	return l.gauge.Resolution
}

func (l *looker) resolution() {
	var values []gauge.Length
	for _, f := range l.facts {
		values = append(values, f.Reading.Value)
	}
	f, err := signature.FindLostResolution(values, l.step(), signRate)
	l.says(signature.LostResolution, f, err)
}

func (l *looker) battery() {
	var statuses []gauge.Status
	for _, f := range l.facts {
		statuses = append(statuses, f.Reading.Status)
	}
	f, err := signature.FindLowBattery(statuses, usualShare, signRate)
	l.says(signature.LowBattery, f, err)
}

// frames looks at a gauge that sends all the time. The usual time between two
// frames is the median.
func (l *looker) frames(ctx context.Context, store Store) error {
	if l.gauge.Mode != ModeStream || len(l.facts) < 3 {
		return nil
	}
	var times []time.Time
	var gaps []time.Duration
	for i, f := range l.facts {
		times = append(times, f.Reading.Time)
		if i > 0 {
			gaps = append(gaps, f.Reading.Time.Sub(times[i-1]))
		}
	}
	slices.Sort(gaps)
	rejects, err := store.Rejects(ctx, l.gauge.ID, l.facts[0].Seq, signReadings)
	if err != nil {
		return err
	}
	f, err := signature.FindLostFrames(times, len(rejects), gaps[len(gaps)/2], usualShare, signRate)
	l.says(signature.LostFrames, f, err)
	return nil
}

// noise holds the repeats of the last check against the gauge's usual scatter.
func (l *looker) noise() {
	usual := l.gauge.Ability.Repeats
	if usual == nil || len(l.checks) == 0 {
		return
	}
	for _, p := range l.checks[len(l.checks)-1].points {
		if len(p.Readings) > 1 {
			f, err := signature.FindNoise(p.Readings, statistics.Scatter{SD: usual.Deviation.Metres(), DoF: usual.Freedom}, l.step(), signRate)
			l.says(signature.Noise, f, err)
			return
		}
	}
}

// hysteresis pairs the points of the checks that were approached from both sides.
func (l *looker) hysteresis() {
	var up, down []gauge.Length
	for _, c := range l.checks {
		for _, rising := range c.Result.Points {
			for _, falling := range c.Result.Points {
				if rising.Master == falling.Master && !rising.Falling && falling.Falling {
					up, down = append(up, rising.Mean), append(down, falling.Mean)
				}
			}
		}
	}
	if len(up) == 0 {
		return
	}
	var allowed gauge.Length
	if limit := l.gauge.Ability.Error; limit != nil {
		allowed = *limit / 2
	}
	f, err := signature.FindHysteresis(up, down, allowed, l.step(), signRate)
	l.says(signature.Hysteresis, f, err)
}
