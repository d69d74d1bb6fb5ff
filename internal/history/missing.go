package history

import (
	"context"

	"github.com/ncruces/go-sqlite3"
)

// Missing returns the first number that the chain covers and no fact has; 0: there is none.
// The facts are counted first, without reading them: the readings of a gauge have the numbers
// from 1 on, so that its last one says how many there were. A reading taken out of their
// middle is left to Verify.
func (s *Store) Missing(ctx context.Context) (seq uint64, err error) {
	numbers, err := s.LastNumbers(ctx)
	if err != nil {
		return 0, err
	}
	readings := uint64(0)
	for _, n := range numbers {
		readings += n
	}
	var last uint64
	err = s.read(ctx, "the chain", func(r *reader) error {
		if last, err = r.number("SELECT max(last) FROM chain"); err != nil {
			return err
		}
		there, err := r.countFacts(last, readings)
		if there == last {
			last = 0 // nothing is to be looked for
		}
		return err
	})
	for after := uint64(0); after < last && seq == 0 && err == nil; after += missingStep {
		err = s.read(ctx, "the chain", func(r *reader) (err error) {
			seq, err = r.firstMissing(after, min(after+missingStep, last))
			return err
		})
	}
	return seq, err
}

// missingStep is how many numbers are looked at in one transaction.
const missingStep = 1 << 16

// countFacts returns how many facts have a number that the chain covers, which ends with last.
func (r *reader) countFacts(last, readings uint64) (n uint64, err error) {
	n = readings
	for i := range tables {
		name := tables[i].name
		if i != readingTable {
			some, err := r.number("SELECT count(*) FROM " + name)
			if err != nil {
				return 0, err
			}
			n += some
		}
		outside, err := r.number("SELECT (SELECT count(*) FROM "+name+" WHERE seq < 1) + (SELECT count(*) FROM "+name+" WHERE seq > ?)", bound(last))
		if err != nil {
			return 0, err
		}
		n -= outside
	}
	return n, nil
}

// firstMissing returns the first number of (after, end] that no fact has; 0: there is none.
func (r *reader) firstMissing(after, end uint64) (uint64, error) {
	there := make([]bool, end-after)
	for i := range tables {
		err := r.rows("SELECT seq FROM "+tables[i].name+" WHERE seq > ? AND seq <= ?", func(row *sqlite3.Stmt) error {
			there[count(row, 0)-after-1] = true
			return nil
		}, int64(after), int64(end))
		if err != nil {
			return 0, err
		}
	}
	for i, is := range there {
		if !is {
			return after + 1 + uint64(i), nil
		}
	}
	return 0, nil
}
