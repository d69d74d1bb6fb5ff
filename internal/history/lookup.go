package history

import (
	"context"

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
		facts, err = r.scan(jobTable, tables[jobTable].ordered("kind = 'started' AND job > ?", "job"), bound(afterJob), int64(limit))
		return err
	})
	return facts, err
}
