package history

import (
	"context"
	"errors"
	"fmt"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
)

// reader is one read-only connection with the statements it has prepared.
type reader struct {
	conn  *sqlite3.Conn
	stmts map[string]*sqlite3.Stmt
}

func openReader(p place) (*reader, error) {
	conn, err := p.connect("ro", readerPragmas())
	if err != nil {
		return nil, err
	}
	return &reader{conn: conn, stmts: make(map[string]*sqlite3.Stmt)}, nil
}

func (r *reader) close() error { return closeConn(r.conn) }

// borrow takes an idle reader out of use; giveBack must follow. Close waits
// for it.
func (s *Store) borrow(ctx context.Context) (*reader, error) {
	if s.isClosing() {
		return nil, ErrClosed
	}
	select {
	case r := <-s.idle:
		return r, nil
	case <-s.closing:
		return nil, ErrClosed
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

func (s *Store) giveBack(r *reader) { s.idle <- r }

// read runs f on an idle reader in one transaction, so that all its queries
// see the same history. It must be short: the write-ahead log cannot be reused
// while a transaction reads from it.
func (s *Store) read(ctx context.Context, what string, f func(*reader) error) error {
	r, err := s.borrow(ctx)
	if err != nil {
		return fmt.Errorf("read %s from history: %w", what, err)
	}
	defer s.giveBack(r)
	err = r.transaction(ctx, f)
	switch {
	case errors.Is(err, sqlite3.CORRUPT):
		return fmt.Errorf("read %s from history: %w: %w", what, ErrDamaged, err)
	case err != nil:
		return fmt.Errorf("read %s from history: %w", what, err)
	}
	return nil
}

func (s *Store) isClosing() bool {
	select {
	case <-s.closing:
		return true
	default:
		return false
	}
}

func (r *reader) transaction(ctx context.Context, f func(*reader) error) error {
	idle := r.conn.SetInterrupt(ctx)
	err := r.conn.Exec("BEGIN")
	if err == nil {
		err = f(r)
	}
	r.conn.SetInterrupt(idle)
	if !r.conn.GetAutocommit() {
		err = errors.Join(err, r.conn.Exec("ROLLBACK"))
	}
	if err != nil && ctx.Err() != nil {
		return ctx.Err()
	}
	return err
}

// rows calls row for each row that query returns. Arguments are strings,
// int64 values and bytes.
func (r *reader) rows(query string, row func(*sqlite3.Stmt) error, args ...any) (err error) {
	stmt, err := r.prepare(query)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, stmt.Reset()) }()
	for i, arg := range args {
		switch arg := arg.(type) {
		case string:
			err = stmt.BindText(i+1, arg)
		case int64:
			err = stmt.BindInt64(i+1, arg)
		case []byte:
			err = stmt.BindBlob(i+1, arg)
		default:
			err = fmt.Errorf("argument %d is a %T", i+1, arg)
		}
		if err != nil {
			return err
		}
	}
	for stmt.Step() {
		if err := row(stmt); err != nil {
			return err
		}
	}
	return stmt.Err() // Reset returns that of SQLite, and not that a read was given up before it began
}

func (r *reader) prepare(query string) (*sqlite3.Stmt, error) {
	if stmt := r.stmts[query]; stmt != nil {
		return stmt, nil
	}
	stmt, _, err := r.conn.PrepareFlags(query, sqlite3.PREPARE_PERSISTENT)
	if err != nil {
		return nil, err
	}
	r.stmts[query] = stmt
	return stmt, nil
}

// facts returns the rows of one table that meet a condition.
func (r *reader) facts(table int, condition string, limit int, args ...any) ([]gauge.Fact, error) {
	return r.factsWithin(0, table, condition, limit, args...)
}

// factsWithin is facts with a bound of bytes, as in scan.
func (r *reader) factsWithin(bytes, table int, condition string, limit int, args ...any) ([]gauge.Fact, error) {
	return r.scan(bytes, table, tables[table].where(condition), append(args, int64(limit))...)
}

// scan returns the rows that a query of all columns of one table gives, up to the one with
// which their frames have more bytes together; 0: no bound.
func (r *reader) scan(bytes, table int, query string, args ...any) (facts []gauge.Fact, err error) {
	long := 0
	err = r.rows(query, func(row *sqlite3.Stmt) error {
		f, err := tables[table].scan(row)
		facts = append(facts, f)
		if long += len(frame(f)); bytes > 0 && long > bytes && err == nil {
			return errEnough
		}
		return err
	}, args...)
	if errors.Is(err, errEnough) {
		err = nil
	}
	return facts, err
}

// errEnough ends a reading of rows.
var errEnough = errors.New("enough")

// frame is what came over the line.
func frame(f gauge.Fact) []byte {
	switch {
	case f.Reading != nil:
		return f.Reading.Raw
	case f.Reject != nil:
		return f.Reject.Raw
	}
	return nil
}

// number returns the only value of the only row of a query, 0 for NULL.
func (r *reader) number(query string, args ...any) (n uint64, err error) {
	err = r.rows(query, func(row *sqlite3.Stmt) error {
		n = count(row, 0)
		return nil
	}, args...)
	return n, err
}
