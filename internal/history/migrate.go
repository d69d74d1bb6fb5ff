package history

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"strconv"
	"strings"

	"github.com/ncruces/go-sqlite3"
	"github.com/ncruces/go-sqlite3/driver"
	"github.com/pressly/goose/v3"
)

// applicationID marks a file as a history of gauged: "gaug" in ASCII.
const applicationID = 0x67617567

// minimumSQLite is the first version without the bug that could damage a file
// when the write-ahead log was reset.
var minimumSQLite = [3]int{3, 51, 3}

//go:embed schema/*.sql
var schemaFiles embed.FS

// identify refuses a file that is no history, before anything in it changes.
// A file that holds nothing yet may become one.
func identify(p place) error {
	conn, err := sqlite3.Open(p.uri("rw", settings[:1]))
	if err != nil {
		return err
	}
	id, idErr := queryText(conn, "PRAGMA application_id")
	tables, tablesErr := queryText(conn, "SELECT count(*) FROM sqlite_schema")
	err = errors.Join(idErr, tablesErr, conn.Close())
	switch {
	case errors.Is(err, sqlite3.NOTADB):
		return fmt.Errorf("%w: it is no SQLite file", ErrForeign)
	case err != nil:
		return err
	case id == strconv.Itoa(applicationID), id == "0" && tables == "0":
		return nil
	}
	return fmt.Errorf("%w: its application id is %s", ErrForeign, id)
}

// migrate brings the file at p to the schema of this program, creating it if
// there is none, and leaves it with nothing in the write-ahead log.
func migrate(ctx context.Context, p place) (err error) {
	db, err := driver.Open(p.uri("rwc", writerPragmas()))
	if err != nil {
		return fmt.Errorf("open history %s: %w", p.path, err)
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	db.SetMaxOpenConns(1)
	var id int
	if err := db.QueryRowContext(ctx, "PRAGMA application_id").Scan(&id); err != nil {
		return fmt.Errorf("open history %s: %w", p.path, err)
	}
	if id != applicationID {
		// The mark comes first, so that a creation that was cut short is known as ours.
		if _, err := db.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d", applicationID)); err != nil {
			return fmt.Errorf("mark history %s: %w", p.path, err)
		}
	}
	if err := upgrade(ctx, db); err != nil {
		return fmt.Errorf("upgrade history %s: %w", p.path, err)
	}
	return nil
}

// migrations are the steps of the schema, on a database.
func migrations(db *sql.DB) (*goose.Provider, error) {
	files, err := fs.Sub(schemaFiles, "schema")
	if err != nil {
		return nil, err
	}
	return goose.NewProvider(goose.DialectSQLite3, db, files, goose.WithDisableGlobalRegistry(true), goose.WithGoMigrations(unitsUpgrade(), chainUpgrade()))
}

func upgrade(ctx context.Context, db *sql.DB) error {
	provider, err := migrations(db)
	if err != nil {
		return err
	}
	current, target, err := provider.GetVersions(ctx)
	if err != nil {
		return err
	}
	if target != schemaVersion {
		return fmt.Errorf("this program has the schema of version %d and calls it %d", target, schemaVersion)
	}
	if current > target {
		return fmt.Errorf("%w: its schema is version %d, this program knows up to %d; install the newer gauged", ErrNewer, current, target)
	}
	_, err = provider.Up(ctx)
	return err
}

// checkSQLite refuses a SQLite that is older than minimumSQLite.
func checkSQLite(version string) error {
	var have [3]int
	for i, part := range strings.SplitN(version, ".", 3) {
		n, err := strconv.Atoi(part)
		if err != nil {
			return fmt.Errorf("SQLite version %q: %w", version, err)
		}
		have[i] = n
	}
	for i, want := range minimumSQLite {
		if have[i] != want {
			if have[i] > want {
				return nil
			}
			return fmt.Errorf("SQLite %s is too old: version %d.%d.%d or newer is needed", version, minimumSQLite[0], minimumSQLite[1], minimumSQLite[2])
		}
	}
	return nil
}
