package history

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
)

func scanReading(row *sqlite3.Stmt) (gauge.Fact, error) {
	r := &gauge.Reading{
		Gauge:     row.ColumnText(1),
		Number:    count(row, 2),
		Time:      instant(row, 3),
		Value:     gauge.Length(row.ColumnInt64(4)),
		Shown:     row.ColumnText(5),
		Status:    gauge.Status(row.ColumnText(7)),
		Raw:       bytes(row, 8),
		Source:    row.ColumnText(9),
		SourceSeq: count(row, 10),
		EnteredBy: row.ColumnText(11),
	}
	f := gauge.Fact{Seq: count(row, 0), Reading: r}
	if err := r.Unit.UnmarshalText(row.ColumnRawText(6)); err != nil {
		return f, fmt.Errorf("fact %d: %w: %w", f.Seq, ErrDamaged, err)
	}
	return f, nil
}

func scanReject(row *sqlite3.Stmt) (gauge.Fact, error) {
	return gauge.Fact{Seq: count(row, 0), Reject: &gauge.Reject{
		Gauge:     row.ColumnText(1),
		Time:      instant(row, 2),
		Reason:    gauge.Reason(row.ColumnText(3)),
		Detail:    message(row, 4),
		Raw:       bytes(row, 5),
		Source:    row.ColumnText(6),
		SourceSeq: count(row, 7),
	}}, nil
}

func scanState(row *sqlite3.Stmt) (gauge.Fact, error) {
	return gauge.Fact{Seq: count(row, 0), State: &gauge.StateChange{
		Gauge:  row.ColumnText(1),
		Time:   instant(row, 2),
		State:  gauge.State(row.ColumnText(3)),
		Reason: message(row, 4),
	}}, nil
}

func scanFile(row *sqlite3.Stmt) (gauge.Fact, error) {
	return gauge.Fact{Seq: count(row, 0), File: &gauge.File{
		Hash:    row.ColumnText(1),
		Kind:    row.ColumnText(2),
		Name:    row.ColumnText(3),
		Content: bytes(row, 4),
		Time:    instant(row, 5),
	}}, nil
}

func scanJob(row *sqlite3.Stmt) (gauge.Fact, error) {
	return gauge.Fact{Seq: count(row, 0), Job: &gauge.JobFact{
		Job:  count(row, 1),
		Time: instant(row, 2),
		Kind: row.ColumnText(3),
		By:   row.ColumnText(4),
		Data: bytes(row, 5),
	}}, nil
}

func scanGauge(row *sqlite3.Stmt) (gauge.Fact, error) {
	return gauge.Fact{Seq: count(row, 0), Gauge: &gauge.GaugeFact{
		Gauge: row.ColumnText(1),
		Time:  instant(row, 2),
		Kind:  row.ColumnText(3),
		By:    row.ColumnText(4),
		Data:  bytes(row, 5),
	}}, nil
}

func scanRelease(row *sqlite3.Stmt) (gauge.Fact, error) {
	return gauge.Fact{Seq: count(row, 0), Release: &gauge.Release{
		Hash:   row.ColumnText(1),
		Kind:   row.ColumnText(2),
		Name:   row.ColumnText(3),
		By:     row.ColumnText(4),
		Reason: row.ColumnText(5),
		Time:   instant(row, 6),
	}}, nil
}

func scanAccess(row *sqlite3.Stmt) (gauge.Fact, error) {
	return gauge.Fact{Seq: count(row, 0), Access: &gauge.AccessFact{
		Time:    instant(row, 1),
		Kind:    row.ColumnText(2),
		By:      row.ColumnText(3),
		Subject: row.ColumnText(4),
		Data:    bytes(row, 5),
	}}, nil
}

func count(row *sqlite3.Stmt, column int) uint64 { return uint64(row.ColumnInt64(column)) }

func instant(row *sqlite3.Stmt, column int) time.Time {
	if row.ColumnType(column) == sqlite3.NULL {
		return time.Time{}
	}
	return time.Unix(0, row.ColumnInt64(column)).UTC()
}

func bytes(row *sqlite3.Stmt, column int) []byte {
	if row.ColumnType(column) == sqlite3.NULL {
		return nil
	}
	return row.ColumnBlob(column, []byte{})
}

// message reads what insert.message bound. All were texts that were stored before there
// were messages.
func message(row *sqlite3.Stmt, column int) gauge.Message {
	text := row.ColumnText(column)
	var m gauge.Message
	if strings.HasPrefix(text, "{") && json.Unmarshal([]byte(text), &m) == nil {
		return m
	}
	return gauge.Plain(strings.TrimPrefix(text, `\`))
}
