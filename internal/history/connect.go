package history

import (
	"errors"
	"fmt"
	"net/url"
	"path/filepath"
	"strings"

	"github.com/ncruces/go-sqlite3"
)

// place is where a history lies and how its disk is reached. Tests put a disk
// here that fails.
type place struct {
	path    string
	vfs     string                 // SQLite's name of the disk, empty for the operating system's
	syncDir func(dir string) error // makes the names in a directory durable
}

// pragma is one setting of a connection and the text in which SQLite reports it.
type pragma struct{ name, set, reads string }

// settings are those of every connection, in the order in which they are
// made: the busy timeout first, or the change of journal mode would not wait.
var settings = [...]pragma{
	{"busy_timeout", "5000", "5000"}, // milliseconds
	{"journal_mode", "WAL", "wal"},
	{"synchronous", "FULL", "2"},
	{"fullfsync", "ON", "1"}, // an fsync that reaches the disk on darwin
	{"checkpoint_fullfsync", "ON", "1"},
	{"wal_autocheckpoint", "1000", "1000"},         // pages
	{"journal_size_limit", "67108864", "67108864"}, // bytes
	{"foreign_keys", "ON", "1"},
	{"recursive_triggers", "ON", "1"}, // INSERT OR REPLACE meets the triggers that refuse DELETE
	{"trusted_schema", "OFF", "0"},
	{"cell_size_check", "ON", "1"},
}

var queryOnly = pragma{"query_only", "ON", "1"}

// writerPragmas and readerPragmas list what holds on each kind of connection.
func writerPragmas() []pragma { return settings[:] }

func readerPragmas() []pragma { return append(settings[:len(settings):len(settings)], queryOnly) }

// uri returns the data source name of the place with all its settings. mode
// is SQLite's: ro, rw or rwc.
func (p place) uri(mode string, pragmas []pragma) string {
	query := url.Values{"mode": {mode}}
	if p.vfs != "" {
		query.Set("vfs", p.vfs)
	}
	for _, pragma := range pragmas {
		query.Add("_pragma", pragma.name+"("+pragma.set+")")
	}
	path := filepath.ToSlash(p.path)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path // a drive letter
	}
	return (&url.URL{Scheme: "file", OmitHost: true, Path: path, RawQuery: query.Encode()}).String()
}

// connect opens a connection and makes sure that each setting is in force: a
// misspelt or unsupported pragma is ignored by SQLite without an error.
func (p place) connect(mode string, pragmas []pragma) (*sqlite3.Conn, error) {
	conn, err := sqlite3.Open(p.uri(mode, pragmas))
	if err != nil {
		return nil, fmt.Errorf("open history %s: %w", p.path, err)
	}
	for _, pragma := range pragmas {
		got, err := queryText(conn, "PRAGMA "+pragma.name)
		if err == nil && got != pragma.reads {
			err = fmt.Errorf("SQLite reports %q instead of %q", got, pragma.reads)
		}
		if err != nil {
			err = fmt.Errorf("open history %s: setting %s: %w", p.path, pragma.name, err)
			return nil, errors.Join(err, conn.Close())
		}
	}
	return conn, nil
}

// queryText returns the first column of the only row of a query.
func queryText(conn *sqlite3.Conn, query string) (string, error) {
	stmt, _, err := conn.Prepare(query)
	if err != nil {
		return "", err
	}
	var text string
	if stmt.Step() {
		text = stmt.ColumnText(0)
	}
	return text, errors.Join(stmt.Err(), stmt.Close())
}
