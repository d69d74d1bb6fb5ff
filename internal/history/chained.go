package history

import (
	"fmt"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/history/chain"
)

// linking is the link of the chain that is being made.
type linking struct {
	digest chain.Digest // of the link before
	first  uint64       // number of its first fact
	last   uint64       // and of the last one so far
	tree   chain.Tree
	marks  chain.Marks
}

// begin begins the link that follows a digest.
func (l *linking) begin(after chain.Digest) {
	l.digest = after
	l.clear()
}

func (l *linking) clear() {
	l.tree.Clear()
	l.marks = l.marks[:0]
}

// add adds a fact.
func (l *linking) add(seq uint64, leaf chain.Digest) {
	if len(l.marks) == 0 {
		l.first = seq
	}
	l.last = seq
	l.tree.Add(leaf)
	l.marks = l.marks.Add(leaf)
}

func (l *linking) full() bool { return l.marks.Count() == chain.MaxLink }

// end makes the digest the one of this link.
func (l *linking) end(upgrade bool) {
	l.digest = chain.Link{First: l.first, Last: l.last, Upgrade: upgrade, Root: l.tree.Root()}.After(l.digest)
}

// chain writes the link of the facts that were written since the one before.
func (w *writer) chain() error {
	l := &w.unstored
	l.end(false)
	err := w.link.BindInt64(1, int64(l.last))
	if err == nil {
		err = w.link.BindBlob(2, l.digest[:])
	}
	if err == nil {
		err = w.link.BindBlob(3, l.marks)
	}
	if err == nil {
		err = w.link.Exec()
	}
	if err != nil {
		return fmt.Errorf("link of facts %d to %d: %w", l.first, l.last, err)
	}
	l.clear()
	return nil
}

// lastLink returns the number of the last fact that is chained, and the digest of its
// link; 0 and the digest of the beginning where there is none.
func (r *reader) lastLink(id string) (last uint64, digest chain.Digest, err error) {
	digest = chain.Begin(id)
	err = r.rows("SELECT last, digest FROM chain ORDER BY last DESC LIMIT 1", func(row *sqlite3.Stmt) error {
		last = count(row, 0)
		if n := copy(digest[:], row.ColumnRawBlob(1)); n != len(digest) {
			return fmt.Errorf("%w: the link of fact %d has a digest of %d bytes", ErrDamaged, last, n)
		}
		return nil
	})
	return last, digest, err
}

// form is the form of a row with all columns of the table.
func (t *table) form(f chain.Form, row *sqlite3.Stmt) chain.Form {
	return t.formAs(f, row, count(row, 0))
}

// formAs is the form that the row would have under another number.
func (t *table) formAs(f chain.Form, row *sqlite3.Stmt, seq uint64) chain.Form {
	f = f.Fact(t.name, seq)
	for i, column := range t.columns {
		if i == 0 {
			continue
		}
		switch row.ColumnType(i) {
		case sqlite3.INTEGER:
			f = f.Text(column).Int(row.ColumnInt64(i))
		case sqlite3.TEXT:
			f = f.Text(column).Text(string(row.ColumnRawText(i)))
		case sqlite3.BLOB:
			f = f.Text(column).Bytes(row.ColumnRawBlob(i))
		}
	}
	return f
}
