package history

import (
	"context"
	"math"
	"strings"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
)

// ReadingsOf returns the readings that a query chooses.
func (s *Store) ReadingsOf(ctx context.Context, q gauge.Query) (facts []gauge.Fact, err error) {
	if q.Times.Open() {
		return s.readings(ctx, q.Gauge, q.After, q.Limit, q.Bytes)
	}
	q.After, q.Limit = page(q.After, q.Limit)
	err = s.read(ctx, "readings", func(r *reader) error {
		if q.Gauge == "" {
			facts, err = r.within(readingTable, "seq > ? AND seq <= ?", "seq", q, numbers)
			return err
		}
		// Numbers rise with seq, and only they are in order for one gauge.
		facts, err = r.within(readingTable, "gauge = ? AND number > ? AND number <= ?", "number", q, func(from, to uint64) ([]any, error) {
			low, err := r.numberAt(q.Gauge, from)
			if err != nil || to == math.MaxInt64 {
				return []any{q.Gauge, int64(low), int64(math.MaxInt64)}, err
			}
			high, err := r.numberAt(q.Gauge, to)
			return []any{q.Gauge, int64(low), int64(high)}, err
		})
		return err
	})
	return facts, err
}

// RejectsOf returns the rejected frames that a query chooses.
func (s *Store) RejectsOf(ctx context.Context, q gauge.Query) ([]gauge.Fact, error) {
	return s.ofTable(ctx, "rejects", rejectTable, q)
}

// StatesOf returns the changes of the states of gauges that a query chooses.
func (s *Store) StatesOf(ctx context.Context, q gauge.Query) ([]gauge.Fact, error) {
	return s.ofTable(ctx, "states of gauges", stateTable, q)
}

// GaugeFactsOf returns what happened to gauges, of one kind, that a query chooses.
func (s *Store) GaugeFactsOf(ctx context.Context, kind string, q gauge.Query) ([]gauge.Fact, error) {
	return s.ofTable(ctx, kind+" of gauges", gaugeTable, q, "kind = ?", kind)
}

// AccessFactsOf returns the changes of who may come in, and who was refused, that a query
// chooses.
func (s *Store) AccessFactsOf(ctx context.Context, q gauge.Query) ([]gauge.Fact, error) {
	return s.ofTable(ctx, "who may come in", accessTable, q)
}

// ofTable returns the rows of a table that a query chooses and that meet a condition.
func (s *Store) ofTable(ctx context.Context, what string, table int, q gauge.Query, condition ...any) (facts []gauge.Fact, err error) {
	var conditions []string
	var args []any
	if len(condition) > 0 {
		conditions, args = append(conditions, condition[0].(string)), append(args, condition[1:]...)
	}
	if q.Gauge != "" {
		conditions, args = append(conditions, "gauge = ?"), append(args, q.Gauge)
	}
	q.After, q.Limit = page(q.After, q.Limit)
	err = s.read(ctx, what, func(r *reader) error {
		if q.Times.Open() {
			facts, err = r.factsWithin(q.Bytes, table, strings.Join(append(conditions, "seq > ?"), " AND "), q.Limit, append(args, int64(q.After))...)
			return err
		}
		facts, err = r.within(table, strings.Join(append(conditions, "seq > ? AND seq <= ?"), " AND "), "seq", q, func(from, to uint64) ([]any, error) {
			between, err := numbers(from, to)
			return append(args[:len(args):len(args)], between...), err
		})
		return err
	})
	return facts, err
}

func numbers(from, to uint64) ([]any, error) { return []any{int64(from), int64(to)}, nil }

// Request returns the request that was stored under an id, and false when none was.
func (s *Store) Request(ctx context.Context, id string) (found gauge.Request, known bool, err error) {
	err = s.read(ctx, "request "+id, func(r *reader) error {
		return r.rows("SELECT id, hash, first, last FROM requests WHERE id = ?", func(row *sqlite3.Stmt) error {
			found, known = gauge.Request{ID: row.ColumnText(0), Hash: row.ColumnText(1), First: count(row, 2), Last: count(row, 3)}, true
			return nil
		}, id)
	})
	return found, known, err
}

// Size is how large a history is.
type Size struct {
	Schema int   // version of its schema
	Bytes  int64 // of the file, without what the write-ahead log holds
}

// Size returns how large the history is.
func (s *Store) Size(ctx context.Context) (size Size, err error) {
	err = s.read(ctx, "its size", func(r *reader) error {
		pages, err := r.number("SELECT page_count FROM pragma_page_count")
		if err != nil {
			return err
		}
		bytes, err := r.number("SELECT page_size FROM pragma_page_size")
		if err != nil {
			return err
		}
		schema, err := r.number("SELECT max(version_id) FROM goose_db_version WHERE is_applied")
		size = Size{Schema: int(schema), Bytes: int64(pages * bytes)}
		return err
	})
	return size, err
}
