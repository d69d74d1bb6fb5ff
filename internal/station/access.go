package station

import (
	"context"
	"fmt"

	"gauged/internal/access"
	"gauged/internal/gauge"
)

// accessStore is the history as who may come in is read from it.
type accessStore interface {
	AccessFacts(ctx context.Context, after uint64, limit int) ([]gauge.Fact, error)
}

// loadAccess folds who may come in.
func (s *Station) loadAccess(ctx context.Context) error {
	r := access.Register{}
	for after := uint64(0); ; {
		facts, err := s.o.Store.AccessFacts(ctx, after, listAtOnce)
		if err != nil {
			return fmt.Errorf("load who may come in: %w", err)
		}
		for _, f := range facts {
			if r, err = r.With(*f.Access); err != nil {
				return fmt.Errorf("load who may come in: fact %d: %w", f.Seq, err)
			}
			after = f.Seq
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
