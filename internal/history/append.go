package history

import (
	"context"
	"fmt"
	"maps"

	"gauged/internal/gauge"
)

// Append stores facts in one transaction; when it returns nil they are
// durable, when it returns an error none of them is stored and the same facts
// may be appended again. Their Seq must continue LastSeq without a hole, and
// the Number of each reading must continue that of its gauge, or the error is
// ErrOutOfOrder. ErrDuplicate means that a file version, or a sender's
// sequence number, is stored already. The context counts before the write
// begins; a write that has begun is not broken off. The requests are those that
// asked for the facts; one whose id is stored already is ErrDuplicate too.
func (s *Store) Append(ctx context.Context, facts []gauge.Fact, requests ...gauge.Request) error {
	if len(facts) == 0 {
		return nil
	}
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("append to history: %w", err)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.isClosing() {
		return fmt.Errorf("append to history: %w", ErrClosed)
	}
	numbers, err := s.validate(facts)
	if err != nil {
		return err
	}
	if err := s.writer.append(facts, requests); err != nil {
		return byDisk(fmt.Errorf("append facts %d to %d to history: %w", facts[0].Seq, facts[len(facts)-1].Seq, err))
	}
	maps.Copy(s.numbers, numbers)
	s.last.Store(facts[len(facts)-1].Seq)
	s.end.Store(&ending{facts[len(facts)-1].Seq, s.writer.chained})
	return nil
}

// validate checks that facts continue the history and returns the highest
// Number that they give to each gauge.
func (s *Store) validate(facts []gauge.Fact) (map[string]uint64, error) {
	numbers := make(map[string]uint64)
	next := s.last.Load() + 1
	for i := range facts {
		f := &facts[i]
		if f.Seq != next {
			return nil, fmt.Errorf("append fact %d: %w: the next is %d", f.Seq, ErrOutOfOrder, next)
		}
		next++
		if err := validate(f); err != nil {
			return nil, fmt.Errorf("append fact %d: %w: %w", f.Seq, ErrBadFact, err)
		}
		if f.Reading == nil {
			continue
		}
		number, known := numbers[f.Reading.Gauge]
		if !known {
			number = s.numbers[f.Reading.Gauge]
		}
		if f.Reading.Number != number+1 {
			return nil, fmt.Errorf("append fact %d: %w: reading %d of gauge %q follows reading %d",
				f.Seq, ErrOutOfOrder, f.Reading.Number, f.Reading.Gauge, number)
		}
		numbers[f.Reading.Gauge] = number + 1
	}
	return numbers, nil
}
