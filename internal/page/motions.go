package page

import (
	"fmt"
	"sync"

	"gauged/internal/gauge"
	"gauged/internal/station"
)

// motions are the captures from moving indicators that run, by job.
type motions struct {
	mu   sync.Mutex
	byID map[uint64]*motion
}

// motion is one of them: how far it has come, and how it is given up.
type motion struct {
	now  station.Motion
	stop func()
}

func (m *motions) of(job uint64) *station.Motion {
	m.mu.Lock()
	defer m.mu.Unlock()
	if running := m.byID[job]; running != nil {
		now := running.now
		return &now
	}
	return nil
}

// begin refuses a second one in the same job.
func (m *motions) begin(job uint64, stop func()) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.byID[job] != nil {
		return gauge.Refused("refusal.page.motion-runs", gauge.Count("job", job))
	}
	if m.byID == nil {
		m.byID = map[uint64]*motion{}
	}
	m.byID[job] = &motion{stop: stop}
	return nil
}

func (m *motions) put(job uint64, now station.Motion) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.byID[job].now = now
}

func (m *motions) stop(job uint64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if running := m.byID[job]; running != nil {
		running.stop()
	}
}

func (m *motions) end(job uint64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.byID, job)
}

// progress is what shows of a motion, to tell whether it has changed.
func (j jobPage) progress() string {
	if j.Motion == nil {
		return ""
	}
	return fmt.Sprint(len(j.Motion.Plays), len(j.Motion.Faults), j.Motion.Resting, j.Motion.Wanted)
}
