package history

import (
	"context"
	"slices"
	"strings"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
)

// JobNumbers returns the numbers of the jobs that a query chooses, the newest first. The
// outcome is that of the last verdict, and what was measured since may have another: "measuring"
// chooses the jobs that have no verdict, one that was taken back, or something newer. Who loads a job knows.
func (s *Store) JobNumbers(ctx context.Context, q gauge.JobQuery) (jobs []uint64, err error) {
	_, q.Limit = page(0, q.Limit)
	err = s.read(ctx, "numbers of jobs", func(r *reader) error {
		query, args, err := r.jobSelection(q)
		if err != nil || query == "" {
			return err
		}
		return r.rows(query, func(row *sqlite3.Stmt) error {
			jobs = append(jobs, count(row, 0))
			return nil
		}, args...)
	})
	if q.After > 0 {
		slices.Reverse(jobs)
	}
	return jobs, err
}

// jobSelection is the query of jobs. It reads along an index that has the jobs of one kind in
// their order, so that a page costs as much as it has rows: of a label, a gauge, a person, or what
// else is asked for. An empty query chooses nothing.
func (r *reader) jobSelection(q gauge.JobQuery) (query string, args []any, err error) {
	from, number := "jobs j", "j.job"
	var conditions []string
	where := func(condition string, values ...any) {
		conditions, args = append(conditions, condition), append(args, values...)
	}
	by, err := r.namesOf(q.By)
	if err != nil || q.By != "" && len(by) == 0 {
		return "", nil, err
	}
	labels, err := r.labelKeys(q.Labels)
	if err != nil {
		return "", nil, err
	}
	oneOf := "IN (?" + strings.Repeat(", ?", max(0, len(by)-1)) + ")"
	along := false                                            // the jobs that the person had
	unit := q.Unit != "" && q.Gauge == "" && len(labels) == 0 // those of the unit
	if q.By != "" && q.Gauge == "" && !unit && len(labels) == 0 {
		if along, err = r.alongPerson(q, oneOf, by); err != nil {
			return "", nil, err
		}
	}
	switch {
	case len(labels) > 0:
		from, number = "job_labels d CROSS JOIN jobs j ON j.job = d.job", "d.job"
		where("d.key = ?", labels[0])
	case q.Gauge != "":
		from, number = "job_gauges d CROSS JOIN jobs j ON j.job = d.job", "d.job"
		where("d.gauge = ?", q.Gauge)
	case unit:
		from, number = "job_units d CROSS JOIN jobs j ON j.job = d.job", "d.job"
		where("d.key = ?", gauge.SerialKey(q.Unit))
	case along:
		from, number = "job_facts d INDEXED BY job_facts_people CROSS JOIN jobs j ON j.job = d.job", "d.job"
		where("d."+hadIt+" AND d.by "+oneOf, by...)
	}
	if q.By != "" && !along {
		where("EXISTS (SELECT 1 FROM job_facts s WHERE s."+hadIt+" AND s.by "+oneOf+" AND s.job = j.job)", by...)
	}
	if q.Before > 0 {
		where(number+" < ?", bound(q.Before))
	}
	if q.Open {
		where("j.closed = 0")
	}
	if q.Aside {
		where("j.aside = 1")
	}
	if q.Unfinished {
		where("j.closed = 1 AND (j.outcome IN ('', 'measuring', 'measure again', 'fit part', 'verify', 'nothing fits') OR j.unspoken = 1)")
	}
	if q.Unit != "" && !unit {
		where("EXISTS (SELECT 1 FROM job_units u WHERE u.key = ? AND u.job = j.job)", gauge.SerialKey(q.Unit))
	}
	for _, key := range labels[min(1, len(labels)):] {
		where("EXISTS (SELECT 1 FROM job_labels l WHERE l.key = ? AND l.job = j.job)", key)
	}
	if q.Gauge != "" && len(labels) > 0 {
		where("EXISTS (SELECT 1 FROM job_gauges g WHERE g.gauge = ? AND g.job = j.job)", q.Gauge)
	}
	if q.Procedure != "" {
		where("j.procedure = ?", q.Procedure)
	}
	switch q.Outcome {
	case "":
	case "measuring":
		where("(j.outcome IN ('', 'measuring') OR j.unspoken = 1)")
	default:
		where("j.outcome = ?", q.Outcome)
	}
	if !q.Times.Open() {
		since, until := nanoseconds(q.Times)
		started, first, last, err := r.jobsStarted(since, until)
		if err != nil || started == 0 {
			return "", nil, err
		}
		if started < manyJobs {
			where(number+" >= ? AND "+number+" <= ?", first, last)
		}
		where("+j.started >= ? AND +j.started < ?", since, until) // not along the index of times, which has the jobs in another order
	}
	order := " ORDER BY " + number + " DESC LIMIT ?"
	if q.After > 0 {
		where(number+" > ?", bound(q.After))
		order = " ORDER BY " + number + " LIMIT ?"
	}
	query = "SELECT "
	if along {
		query += "DISTINCT " // a person may have started and signed it
	}
	query += number + " FROM " + from
	if len(conditions) > 0 {
		query += " WHERE " + strings.Join(conditions, " AND ")
	}
	return query + order, append(args, int64(q.Limit)), nil
}

// hadIt chooses the steps by which a person has a job: they started it, took it up, or signed
// or closed it. The index job_facts_people has them.
const hadIt = "kind IN ('started', 'resumed', 'verified', 'closed')"

// severalJobs is up to how many jobs are few for one person.
const severalJobs = 2000

// alongPerson reports whether the jobs that a person had are read one by one: they are
// few, or nothing else is asked for that would be fewer.
func (r *reader) alongPerson(q gauge.JobQuery, oneOf string, by []any) (bool, error) {
	if q.Procedure == "" && q.Outcome == "" && !q.Open && !q.Aside && !q.Unfinished {
		return true, nil
	}
	n, err := r.number("SELECT count(*) FROM (SELECT 1 FROM job_facts INDEXED BY job_facts_people WHERE "+hadIt+" AND by "+oneOf+" LIMIT ?)", append(slices.Clone(by), int64(severalJobs))...)
	return n < severalJobs, err
}

// namesOf are the names under which a person had jobs, as they were written: ann, and Ann.
func (r *reader) namesOf(person string) (names []any, err error) {
	if person == "" {
		return nil, nil
	}
	const each = `WITH RECURSIVE names (by) AS (
		SELECT min(by) FROM job_facts INDEXED BY job_facts_people WHERE ` + hadIt + `
		UNION ALL SELECT (SELECT min(by) FROM job_facts INDEXED BY job_facts_people WHERE ` + hadIt + ` AND by > names.by) FROM names WHERE by IS NOT NULL
	) SELECT by FROM names WHERE by IS NOT NULL`
	err = r.rows(each, func(row *sqlite3.Stmt) error {
		if name := row.ColumnText(0); gauge.SameSerial(name, person) {
			names = append(names, name)
		}
		return nil
	})
	return names, err
}

// manyJobs is up to how many jobs of a time are looked through for where they lie.
const manyJobs = 10_000

// jobsStarted are how many jobs were started in a time, up to manyJobs, and between which
// numbers they lie. Where a clock was set back, others lie between them too.
func (r *reader) jobsStarted(since, until int64) (started, first, last int64, err error) {
	const query = `SELECT count(*), coalesce(min(job), 0), coalesce(max(job), 0)
		FROM (SELECT job FROM jobs INDEXED BY jobs_started WHERE started >= ? AND started < ? LIMIT ?)`
	err = r.rows(query, func(row *sqlite3.Stmt) error {
		started, first, last = row.ColumnInt64(0), row.ColumnInt64(1), row.ColumnInt64(2)
		return nil
	}, since, until, int64(manyJobs))
	return started, first, last, err
}
