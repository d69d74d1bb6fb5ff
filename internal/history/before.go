package history

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"github.com/ncruces/go-sqlite3"
)

// header is the beginning of each SQLite file, in which it has its application id at appIDAt.
const (
	header  = "SQLite format 3\x00"
	appIDAt = 68
)

// lookBefore refuses a file that is no history before SQLite touches it: SQLite throws a log
// away that lies beside nothing, and takes one that lies beside another file for that file's.
func lookBefore(p place) error {
	begin, err := beginning(p.path)
	if err != nil {
		return err
	}
	log, err := os.Stat(p.path + "-wal")
	logged := err == nil && log.Size() > 0
	switch {
	case len(begin) == 0 && logged:
		return ErrLogAlone
	case len(begin) == 0: // to be created
		return nil
	case len(begin) < appIDAt+4 || string(begin[:len(header)]) != header:
		return fmt.Errorf("%w: it is no SQLite file", ErrForeign)
	}
	if k, err := readKnown(p.path); logged && err == nil {
		if binary.BigEndian.Uint32(begin[appIDAt:]) != applicationID {
			return ErrLogOther
		}
		// Where a crash left the file half written no id may be found; its log mends that.
		if id, err := idWithoutLog(p); err == nil && id != k.History {
			return ErrLogOther
		}
	}
	return identify(p)
}

// beginning is the beginning of a file; none where there is no file.
func beginning(path string) ([]byte, error) {
	file, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	begin, err := io.ReadAll(io.LimitReader(file, appIDAt+4))
	return begin, errors.Join(err, file.Close())
}

// idWithoutLog reads the identity of a history from its file alone, and changes nothing.
func idWithoutLog(p place) (string, error) {
	conn, err := sqlite3.Open(p.uri("ro", asItIs) + "&immutable=1")
	if err != nil {
		return "", err
	}
	id, err := queryText(conn, "SELECT id FROM history")
	return id, errors.Join(err, conn.Close())
}
