package history

import (
	"context"
	"fmt"

	"github.com/ncruces/go-sqlite3"
)

// begin begins the stretch of numbers that are given out until the store is closed.
func (s *Store) begin() error {
	err := s.writer.conn.Exec(fmt.Sprintf("INSERT INTO stretches (after) VALUES (%d)", s.LastSeq()))
	if err == nil {
		s.stretch, err = queryText(s.writer.conn, "SELECT id FROM stretches ORDER BY number DESC LIMIT 1")
	}
	if err != nil {
		return fmt.Errorf("begin to write history %s: %w", s.place.path, err)
	}
	return nil
}

// Stretch returns the random identity of the stretch of numbers that began when the history was
// opened. Another opening, also of a copy, has another one.
func (s *Store) Stretch() string { return s.stretch }

// Holds reports whether the fact that had a number when a stretch was the newest is the one that
// this history has under it: the stretch is one of this history, and had not ended before.
func (s *Store) Holds(ctx context.Context, stretch string, seq uint64) (holds bool, err error) {
	const query = `SELECT count(*) FROM stretches s
		WHERE id = ? AND ? <= coalesce((SELECT min(n.after) FROM stretches n WHERE n.number > s.number), ?)`
	err = s.read(ctx, "stretch "+stretch, func(r *reader) error {
		n, err := r.number(query, stretch, bound(seq), bound(s.LastSeq()))
		holds = n > 0
		return err
	})
	return holds, err
}

// StretchOf returns the identity of the stretch in which a fact got its number. A copy that is
// put back and goes on has the same of what it had, and another one of what it stores from
// then on. Of a fact that is older than all stretches it is the identity of the history.
func (s *Store) StretchOf(ctx context.Context, seq uint64) (id string, err error) {
	id = s.id
	err = s.read(ctx, "the stretch of a fact", func(r *reader) error {
		return r.rows("SELECT id FROM stretches WHERE after < ? ORDER BY number DESC LIMIT 1", func(row *sqlite3.Stmt) error {
			id = row.ColumnText(0)
			return nil
		}, bound(seq))
	})
	return id, err
}
