package history

import (
	"errors"
	"fmt"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
	"gauged/internal/history/chain"
)

// writer is the one connection that writes, with its prepared statements.
type writer struct {
	place   place
	conn    *sqlite3.Conn // nil after a failure that a rollback could not undo
	inserts [len(tables)]insert
	request *sqlite3.Stmt // stores a request
	unit    *sqlite3.Stmt // stores by what serial number a job is found
	label   *sqlite3.Stmt // stores by what label a job is found
	span    *sqlite3.Stmt // stores between which times the facts of a block lie
	link    *sqlite3.Stmt // stores a link of the chain

	chained  chain.Digest // of the last link that is durable
	unstored linking      // what the running transaction adds
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
	if err := w.prepare(conn); err != nil {
		return errors.Join(fmt.Errorf("open history %s: prepare to write %w", w.place.path, err), closeConn(conn))
	}
	return nil
}

// prepare prepares the statements on a connection, and takes it.
func (w *writer) prepare(conn *sqlite3.Conn) error {
	for i := range tables {
		stmt, _, err := conn.PrepareFlags(tables[i].insert(), sqlite3.PREPARE_PERSISTENT)
		if err != nil {
			return fmt.Errorf("%s: %w", tables[i].name, err)
		}
		w.inserts[i] = newInsert(&tables[i], stmt)
	}
	for _, s := range []struct {
		stmt **sqlite3.Stmt
		sql  string
	}{
		{&w.request, "INSERT INTO requests (id, hash, first, last) VALUES (?, ?, ?, ?)"},
		{&w.unit, "INSERT OR IGNORE INTO job_units (key, job) VALUES (?, ?)"},
		{&w.label, "INSERT OR IGNORE INTO job_labels (key, job) VALUES (?, ?)"},
		{&w.link, "INSERT INTO chain (last, upgrade, digest, marks) VALUES (?, 0, ?, ?)"},
		{&w.span, "INSERT INTO spans (last, least, most) SELECT ?1, min(time), max(time) FROM fact_times WHERE seq > ?2 AND seq <= ?1"},
	} {
		stmt, _, err := conn.PrepareFlags(s.sql, sqlite3.PREPARE_PERSISTENT)
		if err != nil {
			return fmt.Errorf("the lists: %w", err)
		}
		*s.stmt = stmt
	}
	w.conn = conn
	return nil
}

// append writes facts, and the requests that asked for them, in one transaction.
func (w *writer) append(facts []gauge.Fact, requests []gauge.Request) error {
	if w.conn == nil {
		if err := w.reopen(); err != nil {
			return err
		}
	}
	err := w.conn.Exec("BEGIN IMMEDIATE")
	w.unstored.begin(w.chained)
	if err == nil {
		err = w.insert(facts)
	}
	for i := 0; err == nil && i < len(requests); i++ {
		err = w.asked(requests[i])
	}
	if err == nil {
		err = w.conn.Exec("COMMIT")
	}
	if err != nil {
		return errors.Join(err, w.undo())
	}
	w.chained = w.unstored.digest
	return nil
}

func (w *writer) insert(facts []gauge.Fact) error {
	for i := range facts {
		in := &w.inserts[tableOf(&facts[i])]
		if err := in.fact(&facts[i]); err != nil {
			return err
		}
		w.unstored.add(facts[i].Seq, in.form.Leaf())
		if i == len(facts)-1 || w.unstored.full() {
			if err := w.chain(); err != nil {
				return err
			}
		}
		if err := errors.Join(w.unitOf(facts[i].Job), w.labelsOf(facts[i].Job)); err != nil {
			return err
		}
		if seq := facts[i].Seq; seq%block == 0 {
			if err := w.block(seq); err != nil {
				return err
			}
		}
	}
	return nil
}

// block writes between which times the facts of the block lie that ends with a fact.
func (w *writer) block(last uint64) error {
	err := errors.Join(w.span.BindInt64(1, int64(last)), w.span.BindInt64(2, int64(last-block)))
	if err == nil {
		err = w.span.Exec()
	}
	if err != nil {
		return fmt.Errorf("block up to fact %d: %w", last, err)
	}
	return nil
}

// asked writes a request.
func (w *writer) asked(r gauge.Request) error {
	err := errors.Join(w.request.BindText(1, r.ID), w.request.BindText(2, r.Hash),
		w.request.BindInt64(3, int64(r.First)), w.request.BindInt64(4, int64(r.Last)))
	if err == nil {
		err = w.request.Exec()
	}
	if errors.Is(err, sqlite3.CONSTRAINT_PRIMARYKEY) {
		return fmt.Errorf("request %s: %w: %w", r.ID, ErrDuplicate, err)
	}
	if err != nil {
		return fmt.Errorf("request %s: %w", r.ID, err)
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
