package history_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
	"gauged/internal/history"
)

// Batches of every size, the bare disk and bare SQLite come from one run, so
// that their ratios mean something: go test -bench . -run - ./internal/history

var batchSizes = []int{1, 10, 100, 1000}

func BenchmarkAppend(b *testing.B) {
	for _, size := range batchSizes {
		b.Run(fmt.Sprint(size), func(b *testing.B) {
			s, err := history.Open(b.Context(), filepath.Join(b.TempDir(), "history.db"))
			if err != nil {
				b.Fatal(err)
			}
			defer s.Close()
			facts := readings(0, size)
			b.ReportAllocs()
			for b.Loop() {
				if err := s.Append(b.Context(), facts); err != nil {
					b.Fatal(err)
				}
				renumber(facts)
			}
			perSecond(b, size)
		})
	}
}

// renumber makes facts the batch that follows.
func renumber(facts []gauge.Fact) {
	for i := range facts {
		facts[i].Seq += uint64(len(facts))
		facts[i].Reading.Number += uint64(len(facts))
	}
}

func perSecond(b *testing.B, size int) {
	b.ReportMetric(float64(size)*float64(b.N)/b.Elapsed().Seconds(), "readings/s")
}

// BenchmarkBareSync appends 4 KiB to a file and syncs it.
func BenchmarkBareSync(b *testing.B) {
	file, err := os.Create(filepath.Join(b.TempDir(), "bare"))
	if err != nil {
		b.Fatal(err)
	}
	defer file.Close()
	block := make([]byte, 4096)
	for b.Loop() {
		if _, err := file.Write(block); err != nil {
			b.Fatal(err)
		}
		if err := file.Sync(); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkBareSQLite inserts the same rows, as durably, through the same
// driver into a table without indexes: a plain loop.
func BenchmarkBareSQLite(b *testing.B) {
	for _, size := range batchSizes {
		b.Run(fmt.Sprint(size), func(b *testing.B) {
			conn, err := sqlite3.Open("file:" + filepath.Join(b.TempDir(), "bare.db") +
				"?_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)")
			if err != nil {
				b.Fatal(err)
			}
			defer conn.Close()
			if err := conn.Exec(`CREATE TABLE readings (seq INTEGER PRIMARY KEY, gauge TEXT, number INTEGER,
				time INTEGER, value INTEGER, shown TEXT, unit TEXT, status TEXT, raw BLOB, source TEXT,
				source_seq INTEGER, entered_by TEXT) STRICT`); err != nil {
				b.Fatal(err)
			}
			insert, _, err := conn.Prepare("INSERT INTO readings VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)")
			if err != nil {
				b.Fatal(err)
			}
			defer insert.Close()
			facts := readings(0, size)
			for b.Loop() {
				if err := bareBatch(conn, insert, facts); err != nil {
					b.Fatal(err)
				}
				renumber(facts)
			}
			perSecond(b, size)
		})
	}
}

func bareBatch(conn *sqlite3.Conn, insert *sqlite3.Stmt, facts []gauge.Fact) error {
	if err := conn.Exec("BEGIN IMMEDIATE"); err != nil {
		return err
	}
	for _, f := range facts {
		r := f.Reading
		insert.BindInt64(1, int64(f.Seq))
		insert.BindText(2, r.Gauge)
		insert.BindInt64(3, int64(r.Number))
		insert.BindInt64(4, r.Time.UnixNano())
		insert.BindInt64(5, int64(r.Value))
		insert.BindText(6, r.Shown)
		insert.BindText(7, r.Unit.String())
		insert.BindText(8, string(r.Status))
		insert.BindBlob(9, r.Raw)
		insert.BindText(10, r.Source)
		insert.BindInt64(11, int64(r.SourceSeq))
		insert.BindText(12, r.EnteredBy)
		if err := insert.Exec(); err != nil {
			return err
		}
	}
	return conn.Exec("COMMIT")
}

// BenchmarkReadingsOfATime gives the readings of one hour out of a long history, of a gauge
// and of all.
func BenchmarkReadingsOfATime(b *testing.B) {
	n := 300_000 // over eight hours
	if testing.Short() {
		n = 3000
	}
	s, err := history.Open(b.Context(), filepath.Join(b.TempDir(), "history.db"))
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	for after := 0; after < n; after += 1000 {
		if err := s.Append(b.Context(), readings(uint64(after), 1000)); err != nil {
			b.Fatal(err)
		}
	}
	end := start.Add(time.Duration(n) * 100 * time.Millisecond)
	for _, id := range []string{"", "bench"} {
		b.Run("gauge="+id, func(b *testing.B) {
			q := gauge.Query{Gauge: id, Times: gauge.Times{Since: end.Add(-time.Minute)}, Limit: 1000}
			for b.Loop() {
				if facts, err := s.ReadingsOf(b.Context(), q); err != nil || len(facts) != 601 {
					b.Fatal(len(facts), err)
				}
			}
		})
	}
}
