package history

import (
	"context"

	"github.com/ncruces/go-sqlite3"
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
