package station

import (
	"context"
	"fmt"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/health"
)

// accessStore is the history as who may come in is read from it.
type accessStore interface {
	AccessFacts(ctx context.Context, after uint64, limit int) ([]gauge.Fact, error)
	AccessFactsOf(ctx context.Context, q gauge.Query) ([]gauge.Fact, error)
}

// AccessEntries returns the changes of who may come in, and who was refused, that a query
// chooses.
func (s *Station) AccessEntries(ctx context.Context, q gauge.Query) ([]gauge.Fact, error) {
	return s.o.Store.AccessFactsOf(ctx, q)
}

// loadAccess folds who may come in. Where a fact of it is damaged, or any is missing, nobody does.
func (s *Station) loadAccess(ctx context.Context) error {
	r := access.Register{}
	if s.missing > 0 {
		r = access.Shut(s.missing, health.ErrMissing)
		s.damaged(r.Damaged())
	}
	for after := uint64(0); ; {
		facts, err := s.o.Store.AccessFacts(ctx, after, listAtOnce)
		if err != nil {
			return fmt.Errorf("load who may come in: %w", err)
		}
		for _, f := range facts {
			after = f.Seq
			next, err := r.With(*f.Access)
			if s.unlike[f.Seq] {
				err = health.ErrUnlike
			}
			switch {
			case err == nil:
				r = next
			case r.Damaged() == nil:
				r = access.Shut(f.Seq, err)
				s.damaged(r.Damaged())
			}
		}
		if len(facts) < listAtOnce {
			break
		}
	}
	s.register.Store(&r)
	return nil
}

// Register returns who may come in, as it is stored now.
func (s *Station) Register() access.Register { return *s.register.Load() }

// AccessChanged returns a channel that is closed at the next change of who may come in. Take
// it before looking at the register, so that no change is missed.
func (s *Station) AccessChanged() <-chan struct{} {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.accessChanged
}

// ChangeAccess makes a change of who may come in. It holds as soon as it is durable.
func (s *Station) ChangeAccess(ctx context.Context, change access.Change) error {
	return s.do(ctx, func(d *draft) error {
		facts, err := change(*d.register, s.o.Now())
		next := *d.register
		for _, f := range facts {
			if next, err = next.With(f); err != nil {
				return err
			}
			d.add(gauge.Fact{Access: &f})
		}
		d.register = &next
		return err
	})
}
