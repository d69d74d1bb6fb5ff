package history

import (
	"math"
	"slices"
	"time"

	"gauged/internal/gauge"
)

// block is how many numbers a row of spans is about; the schema has it too.
const block = 1024

// nanoseconds are the ends of a span as the history keeps times.
func nanoseconds(s gauge.Times) (since, until int64) {
	return nanosecond(s.Since, math.MinInt64), nanosecond(s.Until, math.MaxInt64)
}

// nanosecond is a time as the history keeps it, which has only the years 1678 to 2262; open
// is that of an end that is zero.
func nanosecond(t time.Time, open int64) int64 {
	switch {
	case t.IsZero():
		return open
	case t.Year() < 1678:
		return math.MinInt64
	case t.Year() > 2261:
		return math.MaxInt64
	}
	return t.UnixNano()
}

// within returns up to limit rows of a table that meet a condition on the numbers of a
// run, (from, to], and whose time lies in a span. Blocks that lie wholly outside it are
// not read. The arguments of the condition are those that between gives.
func (r *reader) within(table int, query, order string, q gauge.Query, between func(from, to uint64) ([]any, error)) (facts []gauge.Fact, err error) {
	since, until := nanoseconds(q.Times)
	bounded := q.Bytes > 0
	for after, limit := q.After, q.Limit; limit > 0; {
		from, to, err := r.run(after, since, until)
		if err != nil {
			return nil, err
		}
		args, err := between(from, to)
		if err != nil {
			return nil, err
		}
		args = append(slices.Clip(args), since, until, int64(limit))
		found, err := r.scan(q.Bytes, table, tables[table].ordered(query+" AND time >= ? AND time < ?", order), args...)
		if err != nil {
			return nil, err
		}
		facts, limit, after = append(facts, found...), limit-len(found), to
		for i := range found {
			q.Bytes -= len(frame(found[i]))
		}
		if to == math.MaxInt64 || bounded && q.Bytes < 0 {
			break
		}
		if bounded {
			q.Bytes = max(q.Bytes, 1)
		}
	}
	return facts, nil
}

// run returns the next run of numbers, (from, to], after one that may have facts of a time
// span. The facts after the last whole block are of the last run, whose end is open.
func (r *reader) run(after uint64, since, until int64) (from, to uint64, err error) {
	const first = "SELECT last FROM spans WHERE last > ? AND most >= ? AND least < ? ORDER BY last LIMIT 1"
	const outside = "SELECT last FROM spans WHERE last > ? AND (most IS NULL OR most < ? OR least >= ?) ORDER BY last LIMIT 1"
	begin, err := r.number(first, bound(after), since, until)
	if err != nil {
		return 0, 0, err
	}
	if begin == 0 { // only what is in no block yet
		last, err := r.number("SELECT max(last) FROM spans")
		return max(after, last), math.MaxInt64, err
	}
	end, err := r.number(outside, int64(begin), since, until)
	if err != nil {
		return 0, 0, err
	}
	to = math.MaxInt64
	if end > 0 {
		to = end - block
	}
	return max(after, begin-block), to, nil
}
