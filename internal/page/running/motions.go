// Package running is what is being done on the page and is not recorded yet: captures
// of motions, and drafts of checks and studies.
package running

import (
	"sync"

	"gauged/internal/gauge"
	"gauged/internal/station"
)

// Motions are the captures from moving indicators that run, by job.
type Motions struct {
	mu   sync.Mutex
	byID map[uint64]*motion
}

// motion is one of them: how far it has come, and how it is given up.
type motion struct {
	now  station.Motion
	stop func()
}

// Of is how far the one of a job has come; nil: none runs.
func (m *Motions) Of(job uint64) *station.Motion {
	m.mu.Lock()
	defer m.mu.Unlock()
	if running := m.byID[job]; running != nil {
		now := running.now
		return &now
	}
	return nil
}

// Begin refuses a second one in the same job.
func (m *Motions) Begin(job uint64, stop func()) error {
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

// Put says how far the one of a job has come.
func (m *Motions) Put(job uint64, now station.Motion) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.byID[job].now = now
}

// Stop gives the one of a job up, when one runs.
func (m *Motions) Stop(job uint64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if running := m.byID[job]; running != nil {
		running.stop()
	}
}

// End forgets the one of a job.
func (m *Motions) End(job uint64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.byID, job)
}
