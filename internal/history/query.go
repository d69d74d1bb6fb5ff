package history

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
)

// MaxPage is the most that a query gives at once; a larger limit is cut. It is the longest page of
// a list, and one more, which says that another page follows.
const MaxPage = 10_001

// Facts returns up to limit facts of all kinds that follow fact after, in order.
func (s *Store) Facts(ctx context.Context, after uint64, limit int) (facts []gauge.Fact, err error) {
	after, limit = page(after, limit)
	err = s.read(ctx, "facts", func(r *reader) error {
		facts, err = r.span(after, limit)
		return err
	})
	return facts, err
}

// FactsWithin is Facts up to the first with which their long fields have more than so many
// bytes together; one fact in any case.
func (s *Store) FactsWithin(ctx context.Context, after uint64, limit, bytes int) (facts []gauge.Fact, err error) {
	after, limit = page(after, limit)
	err = s.read(ctx, "facts", func(r *reader) error {
		if limit, err = r.shorten(after, limit, bytes); err == nil {
			facts, err = r.span(after, limit)
		}
		return err
	})
	return facts, err
}

// shorten is how many of the facts after a number have so many bytes in their long fields,
// which are not read for it.
func (r *reader) shorten(after uint64, limit, bytes int) (int, error) {
	sizes := make([]int64, limit)
	for _, t := range []struct{ table, long string }{
		{"readings", "raw"}, {"rejects", "raw"}, {"files", "content"}, {"job_facts", "data"}, {"gauge_facts", "data"}, {"access_facts", "data"},
	} {
		err := r.rows("SELECT seq, coalesce(length("+t.long+"), 0) FROM "+t.table+" WHERE seq > ? AND seq <= ?", func(row *sqlite3.Stmt) error {
			sizes[count(row, 0)-after-1] = row.ColumnInt64(1)
			return nil
		}, int64(after), int64(after)+int64(limit))
		if err != nil {
			return 0, err
		}
	}
	all := int64(0)
	for i, size := range sizes {
		if all += size; i > 0 && all > int64(bytes) {
			return i, nil
		}
	}
	return limit, nil
}

// Readings returns up to limit readings that follow fact after, in order, of
// one gauge or, when gaugeID is empty, of all.
func (s *Store) Readings(ctx context.Context, gaugeID string, after uint64, limit int) (facts []gauge.Fact, err error) {
	return s.readings(ctx, gaugeID, after, limit, 0)
}

func (s *Store) readings(ctx context.Context, gaugeID string, after uint64, limit, bytes int) (facts []gauge.Fact, err error) {
	after, limit = page(after, limit)
	err = s.read(ctx, "readings", func(r *reader) error {
		if gaugeID == "" {
			facts, err = r.factsWithin(bytes, readingTable, "seq > ?", limit, int64(after))
			return err
		}
		number, err := r.numberAt(gaugeID, after)
		if err != nil {
			return err
		}
		// Numbers rise with seq, so the index on number pages by seq too.
		facts, err = r.factsWithin(bytes, readingTable, "gauge = ? AND number BETWEEN ? AND ?", limit,
			gaugeID, int64(number+1), int64(number)+int64(limit))
		return err
	})
	return facts, err
}

// Rejects returns up to limit rejected frames that follow fact after, in
// order, of one gauge or, when gaugeID is empty, of all.
func (s *Store) Rejects(ctx context.Context, gaugeID string, after uint64, limit int) (facts []gauge.Fact, err error) {
	after, limit = page(after, limit)
	err = s.read(ctx, "rejects", func(r *reader) error {
		if gaugeID == "" {
			facts, err = r.facts(rejectTable, "seq > ?", limit, int64(after))
		} else {
			facts, err = r.facts(rejectTable, "gauge = ? AND seq > ?", limit, gaugeID, int64(after))
		}
		return err
	})
	return facts, err
}

// Reading returns the reading that is fact seq, or ErrNotFound.
func (s *Store) Reading(ctx context.Context, seq uint64) (gauge.Fact, error) {
	var facts []gauge.Fact
	err := s.read(ctx, fmt.Sprintf("reading %d", seq), func(r *reader) (err error) {
		facts, err = r.facts(readingTable, "seq = ?", 1, bound(seq))
		return notFound(facts, err)
	})
	if err != nil {
		return gauge.Fact{}, err
	}
	return facts[0], nil
}

// File returns the file version with the hash, or ErrNotFound.
func (s *Store) File(ctx context.Context, hash string) (gauge.File, error) {
	var facts []gauge.Fact
	err := s.read(ctx, "file "+hash, func(r *reader) (err error) {
		facts, err = r.facts(fileTable, "hash = ?", 1, hash)
		return notFound(facts, err)
	})
	if err != nil {
		return gauge.File{}, err
	}
	return *facts[0].File, nil
}

// JobFacts returns every step of a job in order, or of all jobs when job is 0.
func (s *Store) JobFacts(ctx context.Context, job uint64) (facts []gauge.Fact, err error) {
	after := uint64(0)
	for {
		var next []gauge.Fact
		err = s.read(ctx, fmt.Sprintf("job %d", job), func(r *reader) (err error) {
			if job == 0 {
				next, err = r.facts(jobTable, "seq > ?", MaxPage, int64(after))
			} else {
				next, err = r.facts(jobTable, "job = ? AND seq > ?", MaxPage, bound(job), int64(after))
			}
			return err
		})
		if err != nil {
			return nil, err
		}
		facts = append(facts, next...)
		if len(next) < MaxPage {
			return facts, nil
		}
		after = next[len(next)-1].Seq
	}
}

// RecentReadings returns the newest readings of a gauge, at most count, in the
// order of the history.
func (s *Store) RecentReadings(ctx context.Context, gaugeID string, count int) (facts []gauge.Fact, err error) {
	_, count = page(0, count)
	err = s.read(ctx, "recent readings of "+gaugeID, func(r *reader) error {
		last, err := r.number("SELECT max(number) FROM readings WHERE gauge = ?", gaugeID)
		if err != nil {
			return err
		}
		facts, err = r.facts(readingTable, "gauge = ? AND number > ?", count, gaugeID, max(int64(last)-int64(count), 0))
		return err
	})
	return facts, err
}

// GaugeFacts returns up to limit things that happened to a gauge, or to all when
// gaugeID is empty, after a number of the history.
func (s *Store) GaugeFacts(ctx context.Context, gaugeID string, after uint64, limit int) (facts []gauge.Fact, err error) {
	after, limit = page(after, limit)
	err = s.read(ctx, "checks of gauges", func(r *reader) (err error) {
		if gaugeID == "" {
			facts, err = r.facts(gaugeTable, "seq > ?", limit, int64(after))
		} else {
			facts, err = r.facts(gaugeTable, "gauge = ? AND seq > ?", limit, gaugeID, int64(after))
		}
		return err
	})
	return facts, err
}

// RecentGaugeFacts returns the newest things that happened to a gauge, at most
// count, in the order of the history.
func (s *Store) RecentGaugeFacts(ctx context.Context, gaugeID string, count int) (facts []gauge.Fact, err error) {
	_, count = page(0, count)
	err = s.read(ctx, "recent checks of "+gaugeID, func(r *reader) error {
		const nth = "SELECT coalesce(min(seq), 0) FROM (SELECT seq FROM gauge_facts WHERE gauge = ? ORDER BY seq DESC LIMIT ?)"
		first, err := r.number(nth, gaugeID, int64(count))
		if err != nil {
			return err
		}
		facts, err = r.facts(gaugeTable, "gauge = ? AND seq >= ?", count, gaugeID, int64(first))
		return err
	})
	return facts, err
}

// AccessFacts returns up to limit changes of who may come in, and who was refused, after a
// number of the history.
func (s *Store) AccessFacts(ctx context.Context, after uint64, limit int) (facts []gauge.Fact, err error) {
	after, limit = page(after, limit)
	err = s.read(ctx, "who may come in", func(r *reader) (err error) {
		facts, err = r.facts(accessTable, "seq > ?", limit, int64(after))
		return err
	})
	return facts, err
}

// LastNumbers returns the highest Number of each gauge that has a reading.
func (s *Store) LastNumbers(ctx context.Context) (map[string]uint64, error) {
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("read last numbers from history: %w", err)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.isClosing() {
		return nil, fmt.Errorf("read last numbers from history: %w", ErrClosed)
	}
	return maps.Clone(s.numbers), nil
}

// LastReadings returns the last reading of each gauge that has one. Of one that is damaged
// it is the number alone, in a fact without Seq.
func (s *Store) LastReadings(ctx context.Context) (map[string]gauge.Fact, error) {
	numbers, err := s.LastNumbers(ctx)
	if err != nil {
		return nil, err
	}
	last := make(map[string]gauge.Fact, len(numbers))
	err = s.read(ctx, "last readings", func(r *reader) error {
		for id, number := range numbers {
			facts, err := r.facts(readingTable, "gauge = ? AND number = ?", 1, id, int64(number))
			if errors.Is(err, ErrDamaged) {
				last[id] = gauge.Fact{Reading: &gauge.Reading{Gauge: id, Number: number}}
				continue
			}
			if err := notFound(facts, err); err != nil {
				return fmt.Errorf("reading %d of gauge %q: %w", number, id, err)
			}
			last[id] = facts[0]
		}
		return nil
	})
	return last, err
}

// SourceSeq returns the highest sequence number that a sender gave to a stored
// reading or rejected frame, 0 when there is none.
func (s *Store) SourceSeq(ctx context.Context, source string) (seq uint64, err error) {
	const query = `SELECT max(
		coalesce((SELECT source_seq FROM readings WHERE source = ?1 AND source_seq > 0 ORDER BY source_seq DESC LIMIT 1), 0),
		coalesce((SELECT source_seq FROM rejects  WHERE source = ?1 AND source_seq > 0 ORDER BY source_seq DESC LIMIT 1), 0))`
	err = s.read(ctx, "last number from "+source, func(r *reader) error {
		seq, err = r.number(query, source)
		return err
	})
	return seq, err
}

// SentAs returns the readings and rejected frames that a sender's numbers were
// stored as; a number that it never gave is not in the answer.
func (s *Store) SentAs(ctx context.Context, source string, numbers []uint64) (sent map[uint64]gauge.Fact, err error) {
	sent = make(map[uint64]gauge.Fact, len(numbers))
	err = s.read(ctx, "what "+source+" sent", func(r *reader) error {
		for _, n := range numbers {
			for _, t := range []int{readingTable, rejectTable} {
				facts, err := r.facts(t, "source_seq = ? AND source_seq > 0 AND source = ?", 1, int64(min(n, math.MaxInt64)), source)
				if err != nil {
					return err
				}
				if len(facts) > 0 {
					sent[n] = facts[0]
				}
			}
		}
		return nil
	})
	return sent, err
}

// LastJob returns the highest job number, 0 when there is no job.
func (s *Store) LastJob(ctx context.Context) (job uint64, err error) {
	err = s.read(ctx, "last job", func(r *reader) error {
		job, err = r.number("SELECT max(job) FROM job_facts")
		return err
	})
	return job, err
}

func notFound(facts []gauge.Fact, err error) error {
	if err == nil && len(facts) == 0 {
		return ErrNotFound
	}
	return err
}

// page brings the bounds of a query into the range that SQLite has.
func page(after uint64, limit int) (uint64, int) {
	return uint64(bound(after)), max(0, min(limit, MaxPage))
}

// bound is n as SQLite counts; no stored number is larger than 1<<62.
func bound(n uint64) int64 { return int64(min(n, math.MaxInt64/2)) }

// span returns facts of all tables by their place: seq has no holes.
func (r *reader) span(after uint64, limit int) ([]gauge.Fact, error) {
	last, err := r.lastSeq()
	if err != nil || last <= after {
		return nil, err
	}
	facts := make([]gauge.Fact, min(uint64(limit), last-after))
	for i := range tables {
		err := r.rows(tables[i].where("seq > ? AND seq <= ?"), func(row *sqlite3.Stmt) error {
			f, err := tables[i].scan(row)
			if err != nil {
				return err
			}
			if slot := &facts[f.Seq-after-1]; slot.Seq == 0 {
				*slot = f
				return nil
			}
			return fmt.Errorf("%w: there are two facts %d", ErrDamaged, f.Seq)
		}, int64(after), int64(after)+int64(len(facts)), int64(len(facts)))
		if err != nil {
			return nil, err
		}
	}
	for i, f := range facts {
		if f.Seq == 0 {
			return nil, fmt.Errorf("%w: fact %d is missing", ErrDamaged, after+1+uint64(i))
		}
	}
	return facts, nil
}

// numberAt returns the highest Number that a gauge had given when fact seq was
// stored. It searches by halves, for there is no index of seq by gauge:
// maintaining one would slow every write.
func (r *reader) numberAt(gaugeID string, seq uint64) (uint64, error) {
	low, err := uint64(0), error(nil)
	high, err := r.number("SELECT max(number) FROM readings WHERE gauge = ?", gaugeID)
	for low < high && err == nil {
		middle := high - (high-low)/2
		var at uint64
		at, err = r.number("SELECT seq FROM readings WHERE gauge = ? AND number = ?", gaugeID, int64(middle))
		if at <= seq {
			low = middle
		} else {
			high = middle - 1
		}
	}
	return low, err
}
