package history

import (
	"context"
	"database/sql"
	_ "embed" // the schema of this file
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/ncruces/go-sqlite3"
	"github.com/pressly/goose/v3"

	"gauged/internal/gauge"
)

//go:embed schema/units/aside.sql
var unitsSchema string

// unitsUpgrade brings a history to schema 7, in which jobs are found by the key of their
// unit's serial number.
func unitsUpgrade() *goose.Migration {
	return goose.NewGoMigration(7, &goose.GoFunc{RunTx: func(ctx context.Context, tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, unitsSchema); err != nil {
			return err
		}
		units, err := storedUnits(ctx, tx)
		if err != nil {
			return err
		}
		for job, unit := range units {
			if _, err := tx.ExecContext(ctx, "INSERT OR IGNORE INTO job_units (key, job) VALUES (?, ?)", gauge.SerialKey(unit), job); err != nil {
				return err
			}
		}
		return nil
	}}, nil)
}

// storedUnits are the serial numbers of the units of all jobs.
func storedUnits(ctx context.Context, tx *sql.Tx) (units map[int64]string, err error) {
	rows, err := tx.QueryContext(ctx, "SELECT job, unit FROM jobs")
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	units = map[int64]string{}
	for rows.Next() {
		var job int64
		var unit string
		if err := rows.Scan(&job, &unit); err != nil {
			return nil, err
		}
		units[job] = unit
	}
	return units, rows.Err()
}

// unitOf writes by what a job is found, when a fact says what unit it is on; nil is no
// fact of a job.
func (w *writer) unitOf(f *gauge.JobFact) error {
	if f == nil || f.Kind != "started" && f.Kind != "serial" {
		return nil
	}
	var data struct {
		Serial string `json:"unit_serial"`
	}
	if json.Unmarshal(f.Data, &data) != nil {
		return nil // as in the table of jobs: it is found by its number
	}
	err := errors.Join(w.unit.BindText(1, gauge.SerialKey(data.Serial)), w.unit.BindInt64(2, int64(f.Job)))
	if err == nil {
		err = w.unit.Exec()
	}
	if err != nil {
		return fmt.Errorf("unit of job %d: %w", f.Job, err)
	}
	return nil
}

// RecentUnits returns the units of the newest jobs that were started from a time on, the
// newest first.
func (s *Store) RecentUnits(ctx context.Context, since time.Time, limit int) (units []gauge.Worked, err error) {
	_, limit = page(0, limit)
	err = s.read(ctx, "units worked on", func(r *reader) error {
		return r.rows("SELECT job, unit, started FROM (SELECT job, unit, started FROM jobs ORDER BY job DESC LIMIT ?) WHERE started >= ?", func(row *sqlite3.Stmt) error {
			units = append(units, gauge.Worked{Job: count(row, 0), Serial: row.ColumnText(1), Started: time.Unix(0, row.ColumnInt64(2)).UTC()})
			return nil
		}, int64(limit), since.UnixNano())
	})
	return units, err
}
