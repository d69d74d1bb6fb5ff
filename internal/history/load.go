package history

import (
	"context"

	"github.com/ncruces/go-sqlite3"
)

// load reads from the file what the store keeps in memory.
func (s *Store) load() error {
	return s.read(context.Background(), "its end", func(r *reader) (err error) {
		if s.id, err = queryText(r.conn, "SELECT id FROM history"); err != nil {
			return err
		}
		last, err := r.lastSeq()
		if err != nil {
			return err
		}
		chained, digest, err := r.lastLink(s.id)
		if err != nil {
			return err
		}
		s.last.Store(max(last, chained)) // no number is given out twice, also where the last fact is missing
		s.writer.chained = digest
		s.end.Store(&ending{chained, digest})
		s.numbers, err = r.lastNumbers()
		return err
	})
}

func (r *reader) lastSeq() (uint64, error) {
	const query = `SELECT max(
		(SELECT coalesce(max(seq), 0) FROM readings),
		(SELECT coalesce(max(seq), 0) FROM rejects),
		(SELECT coalesce(max(seq), 0) FROM states),
		(SELECT coalesce(max(seq), 0) FROM files),
		(SELECT coalesce(max(seq), 0) FROM job_facts),
		(SELECT coalesce(max(seq), 0) FROM gauge_facts),
		(SELECT coalesce(max(seq), 0) FROM releases),
		(SELECT coalesce(max(seq), 0) FROM access_facts))`
	return r.number(query)
}

// lastNumbers jumps in the index from gauge to gauge; GROUP BY would walk
// through every reading.
func (r *reader) lastNumbers() (map[string]uint64, error) {
	const query = `WITH RECURSIVE each (gauge) AS (
			SELECT min(gauge) FROM readings
			UNION ALL
			SELECT (SELECT min(gauge) FROM readings WHERE gauge > each.gauge) FROM each WHERE each.gauge IS NOT NULL
		)
		SELECT gauge, (SELECT max(number) FROM readings WHERE readings.gauge = each.gauge)
		FROM each WHERE gauge IS NOT NULL`
	numbers := make(map[string]uint64)
	err := r.rows(query, func(row *sqlite3.Stmt) error {
		numbers[row.ColumnText(0)] = count(row, 1)
		return nil
	})
	return numbers, err
}
