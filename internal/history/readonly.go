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
const schemaVersion = 10

// chainSchemaVersion is the first schema with a chain.
const chainSchemaVersion = 10

// openFile opens the file of a history for reading only, also while a daemon has it. A file
// of which there is no log, in a place where none can be made, cannot change and is read as
// it is.
func openFile(path string) (*reader, error) {
	absolute, err := filepath.Abs(path)
	if err == nil {
		_, err = os.Stat(absolute)
	}
	if err != nil {
		return nil, fmt.Errorf("open history %s: %w", path, err)
	}
	p := place{path: absolute}
	r, err := p.openAsItIs("")
	if errors.Is(err, sqlite3.CANTOPEN) || errors.Is(err, sqlite3.READONLY) {
		if info, statErr := os.Stat(absolute + "-wal"); statErr != nil || info.Size() == 0 {
			r, err = p.openAsItIs("&immutable=1")
		}
	}
	if errors.Is(err, sqlite3.NOTADB) {
		err = fmt.Errorf("%w: it is no SQLite file", ErrForeign)
	}
	if err != nil {
		return nil, fmt.Errorf("open history %s: %w", path, err)
	}
	return r, nil
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
