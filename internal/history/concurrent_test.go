package history_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/sync/errgroup"

	"gauged/internal/history"
	"gauged/internal/historytest"
)

// TestReadersSeeWholeBatches reads from several goroutines, more than there
// are connections, while batches of ten are appended.
func TestReadersSeeWholeBatches(t *testing.T) {
	s := historytest.Open(t)
	const total = 1000
	var group errgroup.Group
	for range 4 {
		group.Go(func() error {
			seen := 0
			for seen < total {
				found, err := s.Facts(t.Context(), 0, history.MaxPage)
				if err != nil {
					return err
				}
				if len(found)%10 != 0 || len(found) < seen {
					return errors.New("part of a batch is visible")
				}
				seen = len(found)
				if diff := differ(readings(0, seen), found); diff != "" {
					return errors.New(diff)
				}
			}
			return nil
		})
	}
	for s.LastSeq() < total {
		mustAppend(t, s, readings(s.LastSeq(), 10)...)
	}
	if err := group.Wait(); err != nil {
		t.Error(err)
	}
}

// TestLogStaysSmall appends far more than the write-ahead log may hold, with
// reads in between.
func TestLogStaysSmall(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	s := historytest.OpenAt(t, path)
	for range 100 {
		batch := readings(s.LastSeq(), 20)
		for _, f := range batch {
			f.Reading.Raw = make([]byte, 6000)
		}
		mustAppend(t, s, batch...)
		if _, err := s.Readings(t.Context(), "bench", s.LastSeq()/2, 100); err != nil {
			t.Fatal(err)
		}
	}
	db, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	wal, err := os.Stat(path + "-wal")
	if err != nil {
		t.Fatal(err)
	}
	const most = 6 << 20 // 1000 pages until a checkpoint, and one batch
	if wal.Size() > most || db.Size()+wal.Size() < most {
		t.Errorf("the log has %d bytes, the file %d", wal.Size(), db.Size())
	}
}
