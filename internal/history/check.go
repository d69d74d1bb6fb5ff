package history

import (
	"context"
	"errors"
	"fmt"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
)

// Check reads the whole history and returns ErrDamaged when SQLite finds its
// structure broken, a fact is missing or cannot be read, the numbers of a gauge
// have a hole, a file's content does not have its hash, or the chain breaks. It
// takes some ten seconds for a million facts.
func (s *Store) Check(ctx context.Context) error {
	last := s.LastSeq()
	if err := s.read(ctx, "structure", checkStructure); err != nil {
		return err
	}
	numbers := make(map[string]uint64)
	for after := uint64(0); after < last; {
		facts, err := s.Facts(ctx, after, MaxPage)
		if err != nil {
			return err
		}
		if len(facts) == 0 {
			return fmt.Errorf("check history: %w: it ends at fact %d instead of %d", ErrDamaged, after, last)
		}
		for _, f := range facts {
			if err := checkFact(f, numbers); err != nil {
				return fmt.Errorf("check history: %w: fact %d: %w", ErrDamaged, f.Seq, err)
			}
		}
		after = facts[len(facts)-1].Seq
	}
	v, err := follow(ctx, nil, s.steps(ctx))
	if err == nil && v.Difference != nil {
		err = fmt.Errorf("check history: %w: %s", ErrDamaged, v.Difference)
	}
	return err
}

func checkStructure(r *reader) error {
	return r.rows("PRAGMA integrity_check", func(row *sqlite3.Stmt) error {
		if finding := row.ColumnText(0); finding != "ok" {
			return fmt.Errorf("%w: %s", ErrDamaged, finding)
		}
		return nil
	})
}

func checkFact(f gauge.Fact, numbers map[string]uint64) error {
	if f.File != nil && f.File.Hash != gauge.HashContent(f.File.Content) {
		return errors.New("the content of the file does not have its hash")
	}
	if f.Reading == nil {
		return nil
	}
	number := numbers[f.Reading.Gauge] + 1
	if f.Reading.Number != number {
		return fmt.Errorf("gauge %q has reading %d instead of %d", f.Reading.Gauge, f.Reading.Number, number)
	}
	numbers[f.Reading.Gauge] = number
	return nil
}
