package station

import (
	"maps"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/health/signs"
	"gauged/internal/job"
	"gauged/internal/lookback"
)

// news is what was published since the last estimate. Station.mu guards it.
type news struct {
	wanted bool // there was an estimate
	lookback.News
}

// take notes what may say something of the gauges. It computes nothing.
func (n *news) take(d *draft) {
	if !n.wanted {
		return
	}
	for id, j := range d.jobs {
		if j.Procedure.VerifyPlay != nil && len(j.Fitted) > 0 {
			n.Jobs[id] = j
		}
	}
	n.Check = n.Check || slices.ContainsFunc(d.facts, func(f gauge.Fact) bool { return f.Gauge != nil })
}

// News is what was published since it was last called.
func (s *Station) News() lookback.News {
	s.mu.Lock()
	defer s.mu.Unlock()
	n := s.news
	s.news = news{wanted: true, News: lookback.News{Jobs: map[uint64]*job.Job{}}}
	return n.News
}

// LastJob is the number of the newest job; 0: there is none yet.
func (s *Station) LastJob() uint64 {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.lastJob
}

// Beforehand is what is known of a gauge beforehand, also of one that is in the history
// alone.
func (s *Station) Beforehand(gaugeID string) (signs.Gauge, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	g, ok := s.gauges[gaugeID]
	if !ok {
		return signs.Gauge{}, s.noGauge(gaugeID)
	}
	known := signs.Gauge{
		Mode: g.Mode, Fresh: g.Fresh, Resolution: g.Resolution, Ability: g.Ability, Pitch: g.Pitch, Presets: slices.Clone(g.Presets),
	}
	for _, id := range slices.Sorted(maps.Keys(s.masters)) {
		known.Presets = append(known.Presets, s.masters[id].Value)
	}
	return known, nil
}
