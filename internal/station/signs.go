package station

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/signs"
)

const (
	// signRate is how often a look at a healthy gauge finds a certain sign that is
	// not there.
	signRate signs.Rate = 0.001
	// signReadings, signChecks and signJobs are how far back a look goes. Zero returns are
	// checks too, and there are several a day.
	signReadings = 1000
	signChecks   = 200
	signJobs     = 20
	// batteryReadings without a flag are those of a battery that was changed.
	batteryReadings = 100
)

// usualShare is how often a healthy gauge loses a frame or flags its battery, or
// masters are mixed up in a check; the number is ours.
var usualShare = signs.Share{Count: 1, Of: 1000}

// Sign is what one look at a gauge's own readings says: that something is the
// matter, that nothing is, or why it cannot be judged.
type Sign struct {
	Kind    signs.Kind
	Found   bool
	Detail  string // what was found
	Refused string // why it cannot be judged
}

// looks is what looks for signs share, one at a time.
type looks struct {
	mu    sync.Mutex
	files *fileCache // procedures of the jobs that were looked at
}

// Signs looks for what a failing gauge shows in its own newest readings, in its
// checks, and in the jobs that it measured.
func (s *Station) Signs(ctx context.Context, gaugeID string) ([]Sign, error) {
	s.mu.RLock()
	g, ok := s.gauges[gaugeID]
	var info GaugeInfo
	if ok {
		info = g.GaugeInfo
	}
	s.mu.RUnlock()
	if !ok {
		return nil, s.noGauge(gaugeID)
	}
	s.looks.mu.Lock()
	defer s.looks.mu.Unlock()
	l, err := s.looker(ctx, info)
	if err != nil {
		return nil, fmt.Errorf("signs of gauge %s: %w", gaugeID, err)
	}
	return l.look(), nil
}

// looker looks at one gauge.
type looker struct {
	gauge   GaugeInfo
	masters map[string]check.Master
	facts   []gauge.Fact // its newest readings, oldest first
	rejects int          // among them
	checks  []*check.Record
	jobs    []measuredJob // oldest first
	signs   []Sign
}

// measuredJob is what a job says of the gauge.
type measuredJob struct {
	procedure *evaluate.Procedure
	values    map[string][]gauge.Length // by measurement; those that count, or all where none does
	own       map[string][]gauge.Length // those of them that are the gauge's
	movements []movement
}

// looker loads what there is to look at.
func (s *Station) looker(ctx context.Context, info GaugeInfo) (*looker, error) {
	l := &looker{gauge: info, masters: s.o.Masters}
	var err error
	if l.facts, err = s.o.Store.RecentReadings(ctx, info.ID, signReadings); err != nil {
		return nil, err
	}
	if info.Mode == gauge.ModeStream && len(l.facts) > 0 {
		rejects, err := s.o.Store.Rejects(ctx, info.ID, l.facts[0].Seq, signReadings)
		if err != nil {
			return nil, err
		}
		l.rejects = len(rejects)
	}
	facts, err := s.o.Store.RecentGaugeFacts(ctx, info.ID, 2*signChecks) // a check has a begin
	if err != nil {
		return nil, err
	}
	if l.checks, err = checksIn(facts); err != nil {
		return nil, err
	}
	l.checks = l.checks[max(len(l.checks)-signChecks, 0):]
	starts, err := s.o.Store.RecentWith(ctx, info.ID, signJobs)
	if err != nil {
		return nil, err
	}
	jobs, err := s.foldJobs(ctx, starts, s.looks.files)
	if err != nil {
		return nil, err
	}
	for _, j := range jobs {
		m := j.measured(info.ID)
		if m.movements, err = s.movements(ctx, info.ID, j); err != nil {
			return nil, err
		}
		l.jobs = append(l.jobs, m)
	}
	return l, nil
}

// needStep are the signs that cannot be judged without the step of the display.
var needStep = []signs.Kind{
	signs.LostResolution, signs.Stuck, signs.MissedCounts, signs.PresetLeftOn, signs.ZeroOff,
	signs.Reversed, signs.Noise, signs.Hysteresis,
}

var errNoStep = errors.New("the step of its display is not stated: write resolution in the configuration")

// look looks for every sign that the gauge can show.
func (l *looker) look() []Sign {
	l.battery()
	l.frames()
	l.unit()
	if l.step() <= 0 {
		for _, kind := range needStep {
			l.says(kind, signs.Finding{}, errNoStep)
		}
		return l.signs
	}
	l.resolution()
	l.stuck()
	l.missed()
	l.zeroOff()
	l.reversed()
	l.noise()
	l.hysteresis()
	return l.signs
}

func (l *looker) says(kind signs.Kind, f signs.Finding, err error) {
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

// resolution looks at places that lie at least seven steps apart: those of one rest
// share their last digits, and seven has no factor in common with five.
func (l *looker) resolution() {
	const apart = 7
	step := l.step()
	var values []gauge.Length
	seen := map[gauge.Length]gauge.Length{} // by stretches of seven steps
	for _, f := range l.facts {
		v := f.Reading.Value
		near := func(stretch gauge.Length) bool {
			other, ok := seen[stretch]
			return ok && (other-v).Abs() < apart*step
		}
		at := v / max(apart*step, 1)
		if step > 0 && (near(at-1) || near(at) || near(at+1)) {
			continue
		}
		seen[at] = v
		values = append(values, v)
	}
	f, err := signs.FindLostResolution(values, step, signRate)
	l.says(signs.LostResolution, f, err)
}

func (l *looker) battery() {
	var statuses []gauge.Status
	for _, f := range l.facts {
		statuses = append(statuses, f.Reading.Status)
	}
	if newest := statuses[max(len(statuses)-batteryReadings, 0):]; !slices.Contains(newest, gauge.StatusLowBattery) {
		statuses = newest
	}
	f, err := signs.FindLowBattery(statuses, usualShare, signRate)
	l.says(signs.LowBattery, f, err)
}
