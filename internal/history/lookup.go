package history

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
)

// HasFile reports whether the file version with the hash is stored.
func (s *Store) HasFile(ctx context.Context, hash string) (has bool, err error) {
	err = s.read(ctx, "file "+hash, func(r *reader) error {
		n, err := r.number("SELECT count(*) FROM files WHERE hash = ?", hash)
		has = n > 0
		return err
	})
	return has, err
}

// FileVersions returns what the history has of one file, in order: each version
// when it was first seen, without its content, and each release.
func (s *Store) FileVersions(ctx context.Context, kind, name string) (facts []gauge.Fact, err error) {
	const files = "SELECT seq, hash, kind, name, NULL, time FROM files WHERE kind = ? AND name = ?"
	err = s.read(ctx, "versions of "+kind+" "+name, func(r *reader) error {
		collect := func(t *table) func(*sqlite3.Stmt) error {
			return func(row *sqlite3.Stmt) error {
				f, err := t.scan(row)
				facts = append(facts, f)
				return err
			}
		}
		if err := r.rows(files, collect(&tables[fileTable]), kind, name); err != nil {
			return err
		}
		return r.rows(tables[releaseTable].where("kind = ? AND name = ?"), collect(&tables[releaseTable]), kind, name, int64(math.MaxInt64))
	})
	slices.SortFunc(facts, func(a, b gauge.Fact) int { return cmp.Compare(a.Seq, b.Seq) })
	return facts, err
}

// JobsWithout returns, in rising order, the jobs that have no step of a kind.
func (s *Store) JobsWithout(ctx context.Context, kind string) (jobs []uint64, err error) {
	const query = "SELECT DISTINCT job FROM job_facts WHERE job NOT IN (SELECT job FROM job_facts WHERE kind = ?) ORDER BY job"
	err = s.read(ctx, "jobs without "+kind, func(r *reader) error {
		return r.rows(query, func(row *sqlite3.Stmt) error {
			jobs = append(jobs, count(row, 0))
			return nil
		}, kind)
	})
	return jobs, err
}

// JobStarts returns up to limit starts of the jobs that follow job afterJob, in
// rising order of the jobs. A job has one start, so the last of a page is where
// the next page goes on.
func (s *Store) JobStarts(ctx context.Context, afterJob uint64, limit int) (facts []gauge.Fact, err error) {
	_, limit = page(0, limit)
	err = s.read(ctx, "starts of jobs", func(r *reader) error {
		facts, err = r.scan(0, jobTable, tables[jobTable].ordered("kind = 'started' AND job > ?", "job"), bound(afterJob), int64(limit))
		return err
	})
	return facts, err
}
