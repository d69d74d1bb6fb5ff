package station

import (
	"context"
	"maps"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/refold"
)

// foldStore has what gauges are folded from.
type foldStore interface {
	refold.Store
	// Unlike returns the numbers of the facts of gauges, and of access, that are not what was stored.
	Unlike(ctx context.Context) (map[uint64]bool, error)
	// Missing returns the first number that no fact has any more; 0: there is none.
	Missing(ctx context.Context) (uint64, error)
}

// eachGaugeFact gives f the facts of a gauge, or of all, in their order, and then the
// extra ones.
func (s *Station) eachGaugeFact(ctx context.Context, gaugeID string, f func(gauge.Fact) error) error {
	return refold.EachFact(ctx, s.o.Store, gaugeID, 0, nil, f)
}

// folded is the health of a gauge, or of all of them, from everything that happened to
// it, as if the facts that change earlier ones had always been known. beforehand are those
// that were read earlier.
func (s *Station) folded(ctx context.Context, gaugeID string, beforehand *refold.Late, extra []gauge.Fact) (map[string]*health.Gauge, error) {
	fold := refold.Fold{Store: s.o.Store, New: s.newHealth, Aside: &s.Quarantine, Unlike: s.unlike}
	return fold.Gauges(ctx, gaugeID, slices.Collect(maps.Keys(s.gauges)), beforehand, extra)
}

// lateFacts are the facts of a gauge, or of all, that change what came before them.
func (s *Station) lateFacts(ctx context.Context, gaugeID string) (*refold.Late, error) {
	return refold.ReadLate(ctx, s.o.Store, gaugeID)
}

// loadHealth reads what happened to the gauges, in the order of the history.
func (s *Station) loadHealth(ctx context.Context) (err error) {
	l, err := s.lateFacts(ctx, "")
	if err != nil {
		return err
	}
	if s.health, err = s.folded(ctx, "", l, nil); err != nil {
		return err
	}
	for id, why := range s.unread {
		s.health[id].Guard(id, 0, func() error { return why })
	}
	if err = s.loadNumbers(ctx); err != nil {
		return err
	}
	for _, d := range s.DamagedGauges() {
		s.damaged(d)
	}
	return nil
}

// damaged tells who hears of it that something is set aside.
func (s *Station) damaged(d error) {
	if s.o.OnDamage != nil {
		s.o.OnDamage(d)
	}
}

// DamagedGauges are the gauges that are set aside because what is stored of them is damaged.
func (s *Station) DamagedGauges() (all []*health.Damaged) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	for _, id := range slices.Sorted(maps.Keys(s.health)) {
		if d := s.health[id].Damage; d != nil {
			all = append(all, d)
		}
	}
	return all
}

// Troubles is what is wrong with the history and its disk now, what is set aside because it
// is damaged, and what is wrong besides.
func (s *Station) Troubles() []gauge.Message {
	all := s.Archive.Troubles()
	if why := s.Register().Damaged(); why != nil {
		all = append(all, gauge.Told(why))
	}
	for _, d := range s.DamagedGauges() {
		all = append(all, d.Tell())
	}
	for _, d := range s.Quarantine.Jobs() {
		all = append(all, d.Tell())
	}
	if s.o.Besides != nil {
		all = append(all, s.o.Besides()...)
	}
	return all
}
