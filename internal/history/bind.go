package history

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
	"gauged/internal/history/chain"
)

// insert is a prepared INSERT. A value stays bound from row to row, so a text
// is bound again only when it changed; most of them seldom do.
type insert struct {
	*sqlite3.Stmt
	table *table
	texts []text     // what is bound, by parameter
	form  chain.Form // of this row
	next  int        // last bound parameter
	err   error      // first error of this row
}

type text struct {
	value string
	bound bool
}

func newInsert(t *table, stmt *sqlite3.Stmt) insert {
	return insert{Stmt: stmt, table: t, texts: make([]text, len(t.columns)+1)}
}

// fact writes one row. Its form stays until the next one.
func (in *insert) fact(f *gauge.Fact) error {
	in.next, in.err = 1, in.BindInt64(1, int64(f.Seq))
	in.form = in.form.Fact(in.table.name, f.Seq)
	in.table.bind(in, f)
	if in.err == nil {
		in.err = in.Exec()
	}
	if errors.Is(in.err, sqlite3.CONSTRAINT_UNIQUE) {
		return fmt.Errorf("fact %d: %w: %w", f.Seq, ErrDuplicate, in.err)
	}
	if in.err != nil {
		return fmt.Errorf("fact %d: %w", f.Seq, in.err)
	}
	return nil
}

func bindReading(in *insert, f *gauge.Fact) {
	r := f.Reading
	in.text(r.Gauge)
	in.count(r.Number)
	in.time(r.Time)
	in.integer(int64(r.Value))
	in.text(r.Shown)
	in.text(r.Unit.String())
	in.text(string(r.Status))
	in.bytes(r.Raw)
	in.text(r.Source)
	in.count(r.SourceSeq)
	in.text(r.EnteredBy)
}

func bindReject(in *insert, f *gauge.Fact) {
	r := f.Reject
	in.text(r.Gauge)
	in.time(r.Time)
	in.text(string(r.Reason))
	in.message(r.Detail)
	in.bytes(r.Raw)
	in.text(r.Source)
	in.count(r.SourceSeq)
}

func bindState(in *insert, f *gauge.Fact) {
	in.text(f.State.Gauge)
	in.time(f.State.Time)
	in.text(string(f.State.State))
	in.message(f.State.Reason)
}

func bindFile(in *insert, f *gauge.Fact) {
	in.text(f.File.Hash)
	in.text(f.File.Kind)
	in.text(f.File.Name)
	in.bytes(f.File.Content)
	in.time(f.File.Time)
}

func bindJob(in *insert, f *gauge.Fact) {
	in.count(f.Job.Job)
	in.time(f.Job.Time)
	in.text(f.Job.Kind)
	in.text(f.Job.By)
	in.bytes(f.Job.Data)
}

func bindGauge(in *insert, f *gauge.Fact) {
	in.text(f.Gauge.Gauge)
	in.time(f.Gauge.Time)
	in.text(f.Gauge.Kind)
	in.text(f.Gauge.By)
	in.bytes(f.Gauge.Data)
}

func bindRelease(in *insert, f *gauge.Fact) {
	in.text(f.Release.Hash)
	in.text(f.Release.Kind)
	in.text(f.Release.Name)
	in.text(f.Release.By)
	in.text(f.Release.Reason)
	in.time(f.Release.Time)
}

func bindAccess(in *insert, f *gauge.Fact) {
	in.time(f.Access.Time)
	in.text(f.Access.Kind)
	in.text(f.Access.By)
	in.text(f.Access.Subject)
	in.bytes(f.Access.Data)
}

func (in *insert) note(err error) {
	if in.err == nil {
		in.err = err
	}
}

func (in *insert) integer(n int64) {
	in.next++
	in.form = in.form.Text(in.table.columns[in.next-1]).Int(n)
	in.note(in.BindInt64(in.next, n))
}

func (in *insert) count(n uint64) { in.integer(int64(n)) }

func (in *insert) text(value string) {
	in.next++
	in.form = in.form.Text(in.table.columns[in.next-1]).Text(value)
	if now := &in.texts[in.next]; !now.bound || now.value != value {
		err := in.BindText(in.next, value)
		*now = text{value, err == nil}
		in.note(err)
	}
}

func (in *insert) bytes(value []byte) {
	in.next++
	if value != nil {
		in.form = in.form.Text(in.table.columns[in.next-1]).Bytes(value)
	}
	in.note(in.BindBlob(in.next, value)) // nil becomes NULL and comes back as nil
}

func (in *insert) time(t time.Time) {
	if t.IsZero() {
		in.next++
		in.note(in.BindNull(in.next))
		return
	}
	in.integer(t.UnixNano())
}

// message binds a message: one that is a text as that text, behind a backslash where it
// could be taken for another form, and any other as JSON.
func (in *insert) message(m gauge.Message) {
	text, ok := m.AsWritten()
	switch {
	case !ok && !m.IsZero():
		content, err := json.Marshal(m)
		in.note(err)
		text = string(content)
	case strings.HasPrefix(text, "{"), strings.HasPrefix(text, `\`):
		text = `\` + text
	}
	in.text(text)
}
