package history

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/history/chain"
)

// lists are the tables by which jobs are found. They follow from the facts; the first column
// of each is the job.
var lists = [...]table{
	{name: "jobs", columns: []string{"job", "started", "unit", "procedure", "outcome", "unspoken", "closed", "aside"}},
	{name: "job_gauges", columns: []string{"job", "gauge"}},
	{name: "job_units", columns: []string{"job", "key"}},
	{name: "job_labels", columns: []string{"job", "key"}},
}

// spansList says between which times the facts of a block lie. It follows from the facts too.
var spansList = table{name: "spans", columns: []string{"last", "least", "most"}}

// jobRange is how many numbers of jobs are compared together.
const jobRange = 1024

// rangeOf is the range of a job.
func rangeOf(job int64) int64 { return job >> 10 }

// jobsOf are the first and the last number of a range of jobs.
func jobsOf(of int64) (from, to int64) { return of * jobRange, of*jobRange + jobRange - 1 }

// sum is a digest of rows in whatever order they come.
type sum [2]uint64

func (s *sum) add(leaf chain.Digest) {
	s[0] += binary.BigEndian.Uint64(leaf[:])
	s[1] += binary.BigEndian.Uint64(leaf[8:])
}

func (s sum) String() string { return fmt.Sprintf("%016x%016x", s[0], s[1]) }

// between is the query of the rows of a list whose first column lies between two numbers.
func (t *table) between() string {
	return "SELECT " + strings.Join(t.columns, ", ") + " FROM " + t.name + " WHERE " + t.columns[0] + " BETWEEN ? AND ?"
}

// sums are the digests of the lists by the range of their jobs, of the jobs between two.
func (r *reader) sums(from, to int64) (map[int64]sum, error) {
	sums := map[int64]sum{}
	var form chain.Form
	for i := range lists {
		lacks, err := r.lacks(&lists[i])
		if err == nil && !lacks {
			err = r.addSums(&lists[i], &form, sums, from, to)
		}
		if err != nil {
			return nil, err
		}
	}
	return sums, nil
}

// addSums adds the digests of the rows of one list.
func (r *reader) addSums(t *table, form *chain.Form, sums map[int64]sum, from, to int64) error {
	return r.rows(t.between(), func(row *sqlite3.Stmt) error {
		*form = t.form(*form, row)
		of := rangeOf(row.ColumnInt64(0))
		s := sums[of]
		s.add(form.Leaf())
		sums[of] = s
		return nil
	}, from, to)
}

// lacks reports whether a list is not there: a history of an earlier program, which is only
// looked at, has none that came later.
func (r *reader) lacks(t *table) (bool, error) {
	if t.name != "job_labels" {
		return false, nil
	}
	n, err := r.number("SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name = ?", t.name)
	return n == 0, err
}

// spansSum is the digest of the rows of the blocks up to one.
func (r *reader) spansSum(last uint64) (s sum, err error) {
	var form chain.Form
	err = r.rows(spansList.between(), func(row *sqlite3.Stmt) error {
		form = spansList.form(form, row)
		s.add(form.Leaf())
		return nil
	}, int64(math.MinInt64), int64(last))
	return s, err
}

// jobRanges are the ranges that have facts of jobs, after a number of a fact.
func (r *reader) jobRanges(after uint64) (ranges []int64, err error) {
	if after > 0 {
		err = r.rows("SELECT DISTINCT job >> 10 FROM job_facts WHERE seq > ?", func(row *sqlite3.Stmt) error {
			ranges = append(ranges, row.ColumnInt64(0))
			return nil
		}, int64(after))
		return ranges, err
	}
	const each = `WITH RECURSIVE ranges (of) AS (
		SELECT min(job) >> 10 FROM job_facts
		UNION ALL SELECT (SELECT min(job) >> 10 FROM job_facts WHERE job >= (ranges.of + 1) << 10) FROM ranges WHERE of < 9223372036854775807 >> 10
	) SELECT of FROM ranges WHERE of IS NOT NULL`
	err = r.rows(each, func(row *sqlite3.Stmt) error {
		ranges = append(ranges, row.ColumnInt64(0))
		return nil
	})
	return ranges, err
}
