package history

import (
	"errors"
	"strings"

	"github.com/ncruces/go-sqlite3"
)

// replay makes the lists anew: it stores the facts of some jobs once more, in memory, in
// tables with the triggers of this program, and forgets them again.
type replay struct {
	w writer
	r reader // of what w has stored
}

func newReplay() (_ *replay, err error) {
	made, err := currentSchema()
	if err != nil {
		return nil, err
	}
	conn, err := sqlite3.Open(":memory:")
	if err != nil {
		return nil, err
	}
	p := &replay{r: reader{conn: conn, stmts: map[string]*sqlite3.Stmt{}}}
	for _, kind := range []string{"table ", "view ", "trigger "} { // no index: few rows are there at a time
		for object, sql := range made {
			if err == nil && strings.HasPrefix(object, kind) {
				err = conn.Exec(sql)
			}
		}
	}
	if err == nil {
		err = p.w.prepare(conn)
	}
	if err != nil {
		return nil, errors.Join(err, closeConn(conn))
	}
	return p, nil
}

func (p *replay) close() error { return closeConn(p.r.conn) }

// of stores the facts of the jobs between two once more, and calls use while they are there.
func (p *replay) of(r *reader, from, to int64, use func(*reader) error) (err error) {
	if err := p.r.conn.Exec("BEGIN"); err != nil {
		return err
	}
	defer func() { err = errors.Join(err, p.r.conn.Exec("ROLLBACK")) }()
	if err := p.copyBeside(r, from, to); err != nil {
		return err
	}
	in := &p.w.inserts[jobTable]
	err = r.rows(tables[jobTable].ordered("job BETWEEN ? AND ?", "job, seq"), func(row *sqlite3.Stmt) error {
		f, err := scanJob(row)
		if err == nil {
			err = in.fact(&f)
		}
		if err == nil {
			err = errors.Join(p.w.unitOf(f.Job), p.w.labelsOf(f.Job))
		}
		return err
	}, from, to, int64(-1))
	if err != nil {
		return err
	}
	return use(&p.r)
}

// copyBeside copies what else the lists are made of: the names of the files, and the gauges
// of the readings that the jobs took.
func (p *replay) copyBeside(r *reader, from, to int64) error {
	const file = "INSERT INTO files (seq, hash, kind, name) VALUES (?, ?, '', ?)"
	err := r.rows("SELECT seq, hash, name FROM files", func(row *sqlite3.Stmt) error {
		return p.r.rows(file, nil, row.ColumnInt64(0), row.ColumnText(1), row.ColumnText(2))
	})
	if err != nil {
		return err
	}
	const taken = `SELECT DISTINCT r.seq, r.gauge FROM job_facts f JOIN readings r ON r.seq = json_extract(CAST(f.data AS TEXT), '$.reading')
		WHERE f.job BETWEEN ? AND ? AND f.kind = 'taken' AND json_valid(CAST(f.data AS TEXT))`
	const reading = `INSERT INTO readings (seq, gauge, number, value, shown, unit, status, source, source_seq, entered_by)
		VALUES (?1, ?2, ?1, 0, '', '', '', '', 0, '')`
	return r.rows(taken, func(row *sqlite3.Stmt) error {
		return p.r.rows(reading, nil, row.ColumnInt64(0), row.ColumnText(1))
	}, from, to)
}
