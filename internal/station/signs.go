package station

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/fleet/signature"
	"gauged/internal/gauge"
	"gauged/internal/master"
	"gauged/internal/statistics"
)

const (
	// signRate is how often a look at a healthy gauge finds a certain sign that is
	// not there.
	signRate signature.Rate = 0.001
	// signReadings, signChecks and signJobs are how far back a look goes.
	signReadings = 1000
	signChecks   = 30
	signJobs     = 20
)

// usualShare is how often a healthy gauge loses a frame or flags its battery, or
// masters are mixed up in a check; the number is ours.
var usualShare = signature.Share{Count: 1, Of: 1000}

// Sign is what one look at a gauge's own readings says: that something is the
// matter, that nothing is, or why it cannot be judged.
type Sign struct {
	Kind    signature.Kind
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
		return nil, fmt.Errorf("%w: there is no gauge %q", ErrNotFound, gaugeID)
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
	masters map[string]master.Master
	facts   []gauge.Fact // its newest readings, oldest first
	rejects int          // among them
	checks  []*CheckRecord
	jobs    []measuredJob // oldest first
	signs   []Sign
}

// measuredJob is what a job says of the gauge.
type measuredJob struct {
	procedure *evaluate.Procedure
	values    map[string][]gauge.Length // by measurement; those that count, or all where none does
	own       map[string]bool           // measurements that the gauge measured
	movements []movement
}

// looker loads what there is to look at.
func (s *Station) looker(ctx context.Context, info GaugeInfo) (*looker, error) {
	l := &looker{gauge: info, masters: s.o.Masters}
	var err error
	if l.facts, err = s.o.Store.RecentReadings(ctx, info.ID, signReadings); err != nil {
		return nil, err
	}
	if info.Mode == ModeStream && len(l.facts) > 0 {
		rejects, err := s.o.Store.Rejects(ctx, info.ID, l.facts[0].Seq, signReadings)
		if err != nil {
			return nil, err
		}
		l.rejects = len(rejects)
	}
	facts, err := s.o.Store.RecentGaugeFacts(ctx, info.ID, signChecks)
	if err != nil {
		return nil, err
	}
	if l.checks, err = checksIn(facts); err != nil {
		return nil, err
	}
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

// look looks for every sign that the gauge can show.
func (l *looker) look() []Sign {
	l.resolution()
	l.battery()
	l.frames()
	l.stuck()
	l.missed()
	l.zeroOff()
	l.reversed()
	l.unit()
	l.noise()
	l.hysteresis()
	return l.signs
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
	f, err := signature.FindLostResolution(values, step, signRate)
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
// frames is the median; a gauge that was silent for longer than is healthy was away,
// and lost none.
func (l *looker) frames() {
	if l.gauge.Mode != ModeStream || len(l.facts) < 3 {
		return
	}
	var gaps []time.Duration
	for i, f := range l.facts[1:] {
		gaps = append(gaps, f.Reading.Time.Sub(l.facts[i].Reading.Time))
	}
	sorted := slices.Sorted(slices.Values(gaps))
	usual := sorted[len(sorted)/2]
	at := l.facts[0].Reading.Time
	times := []time.Time{at}
	for _, gap := range gaps {
		if l.gauge.Fresh > 0 && gap > l.gauge.Fresh {
			gap = usual
		}
		at = at.Add(gap)
		times = append(times, at)
	}
	f, err := signature.FindLostFrames(times, l.rejects, usual, usualShare, signRate)
	l.says(signature.LostFrames, f, err)
}

// noise holds the repeats of the last check that has some against the gauge's usual scatter.
func (l *looker) noise() {
	usual := l.gauge.Ability.Repeats
	if usual == nil {
		return
	}
	for _, c := range slices.Backward(l.checks) {
		for _, p := range c.points {
			if len(p.Readings) < 3 {
				continue
			}
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
