package history

import (
	"errors"
	"fmt"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
)

// writer is the one connection that writes, with its prepared statements.
type writer struct {
	place   place
	conn    *sqlite3.Conn // nil after a failure that a rollback could not undo
	inserts [len(tables)]insert
}

func openWriter(p place) (*writer, error) {
	w := &writer{place: p}
	return w, w.reopen()
}

// reopen makes a new connection in place of one that was given up.
func (w *writer) reopen() error {
	conn, err := w.place.connect("rw", writerPragmas())
	if err != nil {
		return err
	}
	for i := range tables {
		stmt, _, err := conn.PrepareFlags(tables[i].insert(), sqlite3.PREPARE_PERSISTENT)
		if err != nil {
			err = fmt.Errorf("open history %s: prepare to write %s: %w", w.place.path, tables[i].name, err)
			return errors.Join(err, closeConn(conn))
		}
		w.inserts[i] = newInsert(&tables[i], stmt)
	}
	w.conn = conn
	return nil
}

// append writes facts in one transaction.
func (w *writer) append(facts []gauge.Fact) error {
	if w.conn == nil {
		if err := w.reopen(); err != nil {
			return err
		}
	}
	err := w.conn.Exec("BEGIN IMMEDIATE")
	if err == nil {
		err = w.insert(facts)
	}
	if err == nil {
		err = w.conn.Exec("COMMIT")
	}
	if err != nil {
		return errors.Join(err, w.undo())
	}
	return nil
}

func (w *writer) insert(facts []gauge.Fact) error {
	for i := range facts {
		if err := w.inserts[tableOf(&facts[i])].fact(&facts[i]); err != nil {
			return err
		}
	}
	return nil
}

// undo ends a failed transaction. SQLite may have rolled it back by itself; if
// it neither did nor can, the connection is given up and the log, which holds
// no commit, is ignored by the next one.
func (w *writer) undo() error {
	if w.conn.GetAutocommit() {
		return nil
	}
	err := w.conn.Exec("ROLLBACK")
	if err == nil || w.conn.GetAutocommit() {
		return nil
	}
	return errors.Join(fmt.Errorf("roll back: %w", err), w.close())
}

// close checkpoints and closes the connection.
func (w *writer) close() error {
	if w.conn == nil {
		return nil
	}
	conn := w.conn
	w.conn = nil
	var err error
	if conn.GetAutocommit() {
		_, _, err = conn.WALCheckpoint("main", sqlite3.CHECKPOINT_TRUNCATE)
	}
	return errors.Join(err, closeConn(conn))
}

// closeConn closes a connection with the statements that it prepared.
func closeConn(conn *sqlite3.Conn) error {
	var stmts []*sqlite3.Stmt
	for stmt := range conn.Stmts() {
		stmts = append(stmts, stmt)
	}
	for _, stmt := range stmts {
		_ = stmt.Close() // repeats the error of its last step, which was returned then
	}
	return conn.Close()
}
