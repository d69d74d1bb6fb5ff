package history

import (
	"strings"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
)

// table describes how one kind of fact is stored. Its first column is seq.
type table struct {
	name    string
	columns []string
	bind    func(*insert, *gauge.Fact)
	scan    func(*sqlite3.Stmt) (gauge.Fact, error)
}

// Positions in tables.
const (
	readingTable = iota
	rejectTable
	stateTable
	fileTable
	jobTable
	gaugeTable
	releaseTable
	accessTable
)

// tables is constant; a Go array cannot be declared so.
var tables = [...]table{
	readingTable: {
		"readings",
		[]string{
			"seq", "gauge", "number", "time", "value", "shown", "unit", "status", "raw",
			"source", "source_seq", "entered_by",
		},
		bindReading, scanReading,
	},
	rejectTable: {
		"rejects",
		[]string{"seq", "gauge", "time", "reason", "detail", "raw", "source", "source_seq"},
		bindReject, scanReject,
	},
	stateTable:   {"states", []string{"seq", "gauge", "time", "state", "reason"}, bindState, scanState},
	fileTable:    {"files", []string{"seq", "hash", "kind", "name", "content", "time"}, bindFile, scanFile},
	jobTable:     {"job_facts", []string{"seq", "job", "time", "kind", "by", "data"}, bindJob, scanJob},
	gaugeTable:   {"gauge_facts", []string{"seq", "gauge", "time", "kind", "by", "data"}, bindGauge, scanGauge},
	releaseTable: {"releases", []string{"seq", "hash", "kind", "name", "by", "reason", "time"}, bindRelease, scanRelease},
	accessTable:  {"access_facts", []string{"seq", "time", "kind", "by", "subject", "data"}, bindAccess, scanAccess},
}

// tableOf returns the position of the table that a valid fact belongs to.
func tableOf(f *gauge.Fact) int {
	switch {
	case f.Reading != nil:
		return readingTable
	case f.Reject != nil:
		return rejectTable
	case f.State != nil:
		return stateTable
	case f.File != nil:
		return fileTable
	case f.Gauge != nil:
		return gaugeTable
	case f.Release != nil:
		return releaseTable
	case f.Access != nil:
		return accessTable
	}
	return jobTable
}

func (t *table) insert() string {
	return "INSERT INTO " + t.name + " (" + strings.Join(t.columns, ", ") +
		") VALUES (?" + strings.Repeat(", ?", len(t.columns)-1) + ")"
}

// where returns the query for the rows that meet a condition, ordered by seq.
func (t *table) where(condition string) string { return t.ordered(condition, "seq") }

// ordered is where with another order.
func (t *table) ordered(condition, column string) string {
	return "SELECT " + strings.Join(t.columns, ", ") + " FROM " + t.name +
		" WHERE " + condition + " ORDER BY " + column + " LIMIT ?"
}
