package history

import (
	"context"
	"errors"
	"fmt"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
)

// Exit returns how far an exit has come, and false for one that is not known yet.
func (s *Store) Exit(ctx context.Context, name string) (e gauge.Exit, known bool, err error) {
	err = s.read(ctx, "exit "+name, func(r *reader) error {
		return r.rows("SELECT name, after, state FROM exits WHERE name = ?", func(row *sqlite3.Stmt) error {
			e, known = gauge.Exit{Name: row.ColumnText(0), After: count(row, 1), State: row.ColumnBlob(2, nil)}, true
			return nil
		}, name)
	})
	return e, known, err
}

// DeadLetters returns up to so many dead letters of an exit that follow a number, in order.
func (s *Store) DeadLetters(ctx context.Context, exit string, after uint64, limit int) (letters []gauge.DeadLetter, err error) {
	err = s.read(ctx, "dead letters of "+exit, func(r *reader) error {
		return r.rows("SELECT seq, state FROM dead_letters WHERE exit = ? AND seq > ? ORDER BY seq LIMIT ?", func(row *sqlite3.Stmt) error {
			letters = append(letters, gauge.DeadLetter{Seq: count(row, 0), State: row.ColumnBlob(1, nil)})
			return nil
		}, exit, bound(after), int64(limit))
	})
	return letters, err
}

// CountDeadLetters is how many dead letters an exit has.
func (s *Store) CountDeadLetters(ctx context.Context, exit string) (n uint64, err error) {
	err = s.read(ctx, "dead letters of "+exit, func(r *reader) (err error) {
		n, err = r.number("SELECT count(*) FROM dead_letters WHERE exit = ?", exit)
		return err
	})
	return n, err
}

// KeepExit stores durably how far an exit has come, and what has become of dead letters of
// it: all or nothing.
func (s *Store) KeepExit(ctx context.Context, e gauge.Exit, letters ...gauge.DeadLetter) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.isClosing() {
		return fmt.Errorf("keep exit %s: %w", e.Name, ErrClosed)
	}
	if err := s.writer.keepExit(e, letters); err != nil {
		return fmt.Errorf("keep exit %s: %w", e.Name, err)
	}
	return nil
}

func (w *writer) keepExit(e gauge.Exit, letters []gauge.DeadLetter) error {
	if w.conn == nil {
		if err := w.reopen(); err != nil {
			return err
		}
	}
	err := w.conn.Exec("BEGIN IMMEDIATE")
	if err == nil {
		err = w.run("INSERT INTO exits (name, after, state) VALUES (?, ?, ?) ON CONFLICT DO UPDATE SET after = excluded.after, state = excluded.state", e.Name, e.After, e.State)
	}
	for i := 0; err == nil && i < len(letters); i++ {
		if l := letters[i]; l.State == nil {
			err = w.run("DELETE FROM dead_letters WHERE exit = ? AND seq = ?", e.Name, l.Seq, nil)
		} else {
			err = w.run("INSERT INTO dead_letters (exit, seq, state) VALUES (?, ?, ?) ON CONFLICT DO UPDATE SET state = excluded.state", e.Name, l.Seq, l.State)
		}
	}
	if err == nil {
		err = w.conn.Exec("COMMIT")
	}
	if err != nil {
		return errors.Join(err, w.undo())
	}
	return nil
}

// run runs a statement with a name, a number and perhaps a state.
func (w *writer) run(sql, name string, n uint64, state []byte) error {
	stmt, _, err := w.conn.Prepare(sql)
	if err != nil {
		return err
	}
	err = errors.Join(stmt.BindText(1, name), stmt.BindInt64(2, int64(n)))
	if state != nil {
		err = errors.Join(err, stmt.BindBlob(3, state))
	}
	if err == nil {
		err = stmt.Exec()
	}
	return errors.Join(err, stmt.Close())
}
