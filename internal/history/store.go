package history

import (
	"context"
	"crypto/ed25519"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"

	"gauged/internal/history/filelock"
)

// maxReaders is how many reads can run at once.
const maxReaders = 2

// Store is an open history. Its methods may be called from several
// goroutines; Append is meant for one.
type Store struct {
	place   place
	id      string
	lock    *os.File
	file    *os.File      // the history itself, locked; nil where that is not done
	found   []string      // see Found
	lists   *knownLists   // as they were when it was opened
	stretch string        // of the numbers that are given out now
	last    atomic.Uint64 // highest stored Seq
	end     atomic.Pointer[ending]
	key     ed25519.PrivateKey // of the station

	mu      sync.Mutex // guards what follows
	writer  *writer
	numbers map[string]uint64 // highest Number of each gauge

	readers int          // how many were opened
	idle    chan *reader // those that no call uses
	closing chan struct{}
	close   func() error
}

// Open opens the history at path, upgrading its schema, or creates it; the
// directory must exist. It fails with ErrForeign, ErrNewer or ErrInUse when
// the file is not a history, is too new or is open in another process, and with
// ErrLogAlone or ErrLogOther where the log beside it is that of another file.
func Open(ctx context.Context, path string) (*Store, error) {
	absolute, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("open history %s: %w", path, err)
	}
	if target, err := filepath.EvalSymlinks(absolute); err == nil {
		absolute = target // two names for one file must meet the same lock
	}
	return open(ctx, place{path: absolute, syncDir: filelock.SyncDir})
}

func open(ctx context.Context, p place) (_ *Store, err error) {
	if err := lookBefore(p); err != nil {
		return nil, fmt.Errorf("open history %s: %w", p.path, err)
	}
	lock, err := acquireLock(p.path)
	if err != nil {
		return nil, err
	}
	s := &Store{place: p, lock: lock, idle: make(chan *reader, maxReaders), closing: make(chan struct{})}
	s.close = sync.OnceValue(s.shut)
	defer func() {
		if err != nil {
			err = errors.Join(err, s.Close())
		}
	}()
	if s.file, err = lockDatabase(p); err != nil {
		return nil, err
	}
	if err := migrate(ctx, p); err != nil {
		return nil, err
	}
	if err := s.connect(); err != nil {
		return nil, err
	}
	if s.key, err = stationKey(p); err != nil {
		return nil, err
	}
	if err := s.recognise(ctx); err != nil {
		return nil, err
	}
	if err := p.syncDir(filepath.Dir(p.path)); err != nil {
		return nil, fmt.Errorf("open history %s: sync its directory: %w", p.path, err)
	}
	return s, nil
}

// connect opens the connections and reads where the history ends.
func (s *Store) connect() (err error) {
	if s.writer, err = openWriter(s.place); err != nil {
		return err
	}
	version, err := queryText(s.writer.conn, "SELECT sqlite_version()")
	if err == nil {
		err = checkSQLite(version)
	}
	if err != nil {
		return fmt.Errorf("open history %s: %w", s.place.path, err)
	}
	for range maxReaders {
		r, err := openReader(s.place)
		if err != nil {
			return err
		}
		s.readers++
		s.idle <- r
	}
	if err := s.load(); err != nil {
		return err
	}
	if err := s.mend(); err != nil {
		return err
	}
	return s.begin()
}

// LastSeq returns the number of the last stored fact, 0 when there is none.
func (s *Store) LastSeq() uint64 { return s.last.Load() }

// ID returns the random identity that the history got when it was created.
func (s *Store) ID() string { return s.id }

// Close waits for running calls, moves what the write-ahead log holds into the
// file and gives the history free. Later calls return ErrClosed; closing again
// returns what the first call returned.
func (s *Store) Close() error { return s.close() }

func (s *Store) shut() error {
	close(s.closing)
	s.mu.Lock()
	defer s.mu.Unlock()
	var errs []error
	for range s.readers {
		r := <-s.idle
		errs = append(errs, r.close())
	}
	if s.writer != nil {
		errs = append(errs, s.writer.close())
	}
	if s.file != nil {
		errs = append(errs, s.remember(), s.file.Close())
	}
	errs = append(errs, s.lock.Close())
	if err := errors.Join(errs...); err != nil {
		return fmt.Errorf("close history %s: %w", s.place.path, err)
	}
	return nil
}
