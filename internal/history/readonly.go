package history

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"

	"github.com/ncruces/go-sqlite3"
)

// schemaVersion is that of the schema of this program.
const schemaVersion = 14

// chainSchemaVersion is the first schema with a chain.
const chainSchemaVersion = 10

// openFile opens the file of a history for reading only, also while a daemon has it. A file
// that has no log is read as one that does not change, so that nothing is made beside it;
// unchanging says so.
func openFile(path string) (r *reader, unchanging bool, err error) {
	absolute, err := filepath.Abs(path)
	if err == nil {
		_, err = os.Stat(absolute)
	}
	if err != nil {
		return nil, false, fmt.Errorf("open history %s: %w", path, err)
	}
	option := ""
	if unchanging = !hasLog(absolute); unchanging {
		option = "&immutable=1"
	}
	r, err = place{path: absolute}.openAsItIs(option)
	if errors.Is(err, sqlite3.NOTADB) {
		err = fmt.Errorf("%w: it is no SQLite file", ErrForeign)
	}
	if err != nil {
		return nil, false, fmt.Errorf("open history %s: %w", path, err)
	}
	return r, unchanging, nil
}

// hasLog reports whether there is a write-ahead log beside a history: it is open somewhere,
// or was not closed.
func hasLog(path string) bool {
	_, err := os.Stat(path + "-wal")
	return err == nil
}

// openAsItIs opens a history in whatever mode its file is.
func (p place) openAsItIs(option string) (*reader, error) {
	conn, err := sqlite3.Open(p.uri("ro", asItIs) + option)
	if err != nil {
		return nil, err
	}
	r := &reader{conn: conn, stmts: map[string]*sqlite3.Stmt{}}
	if err := r.identify(); err != nil {
		return nil, errors.Join(err, r.close())
	}
	return r, nil
}

// asItIs are settings that change nothing of a file.
var asItIs = []pragma{settings[0], {"cell_size_check", "ON", "1"}, {"trusted_schema", "OFF", "0"}, queryOnly}

// identify refuses a file that is no history with a chain.
func (r *reader) identify() error {
	id, err := queryText(r.conn, "PRAGMA application_id")
	if err != nil {
		return err
	}
	if id != strconv.Itoa(applicationID) {
		return fmt.Errorf("%w: its application id is %s", ErrForeign, id)
	}
	version, err := r.number("SELECT max(version_id) FROM goose_db_version WHERE is_applied")
	switch {
	case err != nil:
		return err
	case version < chainSchemaVersion:
		return fmt.Errorf("it has no chain yet: its schema is version %d; it gets one when this gauged opens it", version)
	case version > schemaVersion:
		return fmt.Errorf("%w: its schema is version %d, this program knows up to %d; use the newer program", ErrNewer, version, schemaVersion)
	}
	return nil
}
