package history

import (
	"context"
	"errors"
	"fmt"
	"os"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/history/chain"
)

// stepFacts is about how many facts are looked at in one transaction.
const stepFacts = 4096

// Verify walks along the chain and compares every fact with it, and the heads with the
// links that they are of. Before, SQLite looks at the structure of the file, and at last its
// schema and the lists are compared. What is found is no error.
func (s *Store) Verify(ctx context.Context, heads ...chain.Head) (*chain.Verification, error) {
	return verify(ctx, heads, s.steps(ctx))
}

// steps reads in one transaction after the other.
func (s *Store) steps(ctx context.Context) func(func(*reader) error) error {
	return func(f func(*reader) error) error { return s.read(ctx, "the chain", f) }
}

// CheckFile is Verify for the file of a history, which may be in use. It writes nothing.
func CheckFile(ctx context.Context, path string, heads ...chain.Head) (*chain.Verification, error) {
	for {
		if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
			return nil, fmt.Errorf("verify history %s: it is no regular file", path)
		}
		r, unchanging, err := openFile(path)
		if errors.Is(err, sqlite3.CORRUPT) { // such as of a file that was cut
			return ruined(err), nil
		}
		if err != nil {
			return nil, err
		}
		v, err := verify(ctx, heads, func(f func(*reader) error) error { return r.transaction(ctx, f) })
		if err = errors.Join(err, r.close()); unchanging && hasLog(path) {
			continue // somebody has opened it meanwhile, and may have changed it
		}
		if err != nil {
			return nil, fmt.Errorf("verify history %s: %w", path, err)
		}
		return v, nil
	}
}

// ruined is what is said of a file whose structure is damaged.
func ruined(err error) *chain.Verification {
	return &chain.Verification{Difference: &chain.Difference{What: chain.Ruined, Detail: err.Error()}}
}

func verify(ctx context.Context, heads []chain.Head, read func(func(*reader) error) error) (*chain.Verification, error) {
	err := read(checkStructure)
	if errors.Is(err, ErrDamaged) || errors.Is(err, sqlite3.CORRUPT) {
		return ruined(err), nil
	}
	if err != nil {
		return nil, err
	}
	v, err := follow(ctx, heads, read)
	if err == nil && v.Difference == nil {
		err = read(func(r *reader) (err error) {
			v.Difference, err = r.compareSchema(ctx)
			return err
		})
		err = errors.Join(err, addLists(v, read))
	}
	return v, err
}

// addLists compares the lists with the facts. Where the schema differs too, both are said.
func addLists(v *chain.Verification, read func(func(*reader) error) error) error {
	d, err := compareLists(read)
	switch {
	case err != nil || d == nil:
		return err
	case v.Difference == nil:
		v.Difference = d
	default:
		v.Difference.Detail += "; and " + d.String()
	}
	return nil
}

// follow walks along the chain.
func follow(ctx context.Context, heads []chain.Head, read func(func(*reader) error) error) (*chain.Verification, error) {
	w := walk{}
	err := read(w.begin)
	for done := false; err == nil && !done && w.Difference == nil; {
		if err = ctx.Err(); err == nil {
			err = read(func(r *reader) (err error) {
				done, err = w.step(r)
				return err
			})
		}
	}
	if err == nil {
		err = read(func(r *reader) error { return w.compare(r, heads) })
	}
	if errors.Is(err, sqlite3.CORRUPT) || errors.Is(err, sqlite3.NOTADB) {
		w.differ(chain.Difference{What: chain.Ruined, Seq: w.Facts + 1, Detail: err.Error()})
		err = nil
	}
	if err != nil {
		return nil, err
	}
	return &w.Verification, nil
}

// walk is a walk along the chain.
type walk struct {
	chain.Verification
	kinds []int8 // of each fact of a step, the table with its number plus 1; negative: several
	leaf  []chain.Digest
}

// differ takes the first difference.
func (w *walk) differ(d chain.Difference) {
	if w.Difference == nil {
		w.Difference = &d
	}
}

// begin looks for facts before the first number.
func (w *walk) begin(r *reader) error {
	id, err := queryText(r.conn, "SELECT id FROM history")
	if err != nil {
		return err
	}
	w.Digest = chain.Begin(id)
	for i := range tables {
		err := r.rows("SELECT seq FROM "+tables[i].name+" WHERE seq < 1 LIMIT 1", func(row *sqlite3.Stmt) error {
			w.differ(chain.Difference{What: chain.Added, Seq: count(row, 0), Kind: tables[i].name})
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// link is a row of the chain.
type link struct {
	first, last uint64
	upgrade     bool
	digest      []byte
	marks       chain.Marks
}

// links returns the links that follow a number, with about as many facts as a step has.
func (r *reader) links(after uint64, facts int) (links []link, err error) {
	err = r.rows("SELECT last, upgrade, digest, marks FROM chain WHERE last > ? ORDER BY last LIMIT ?", func(row *sqlite3.Stmt) error {
		if facts <= 0 {
			return nil
		}
		l := link{last: count(row, 0), upgrade: row.ColumnInt64(1) != 0, digest: row.ColumnBlob(2, nil), marks: row.ColumnBlob(3, nil)}
		l.first = l.last + 1 - uint64(l.marks.Count())
		facts -= l.marks.Count()
		links = append(links, l)
		return nil
	}, int64(after), int64(facts))
	return links, err
}

// step compares the next links. It is done when there are no more.
func (w *walk) step(r *reader) (done bool, err error) {
	links, err := r.links(w.Facts, stepFacts)
	if err != nil {
		return false, err
	}
	if len(links) == 0 {
		return true, w.unchained(r)
	}
	end := w.Facts
	for _, l := range links {
		if n := l.marks.Count(); l.first != end+1 || n == 0 || n > chain.MaxLink || len(l.marks)%chain.MarkSize != 0 {
			break // said when the walk comes there
		}
		end = l.last
	}
	after := w.Facts
	if err := w.load(r, after, end); err != nil {
		return false, err
	}
	for _, l := range links {
		if l.last > end {
			w.badLink(l)
			return true, nil
		}
		if w.follow(l, after); w.Difference == nil {
			continue
		}
		return true, w.explain(r, l, after)
	}
	return false, nil
}

// badLink says what is wrong with a link that does not follow the one before.
func (w *walk) badLink(l link) {
	if l.first > w.Facts+1 && len(l.marks)%chain.MarkSize == 0 && l.marks.Count() > 0 {
		w.differ(chain.Difference{What: chain.Unlinked, Seq: w.Facts + 1, Through: l.first - 1})
		return
	}
	w.differ(chain.Difference{What: chain.Broken, Seq: w.Facts + 1, Through: l.last})
}

// load takes the leaves of the facts (after, end].
func (w *walk) load(r *reader, after, end uint64) error {
	n := int(end - after)
	w.kinds, w.leaf = append(w.kinds[:0], make([]int8, n)...), append(w.leaf[:0], make([]chain.Digest, n)...)
	var form chain.Form
	for i := range tables {
		err := r.rows(tables[i].where("seq > ? AND seq <= ?"), func(row *sqlite3.Stmt) error {
			form = tables[i].form(form, row)
			at := count(row, 0) - after - 1
			if w.kinds[at] != 0 {
				w.kinds[at] = -1
				return nil
			}
			w.kinds[at], w.leaf[at] = int8(i+1), form.Leaf()
			return nil
		}, int64(after), int64(end), int64(n))
		if err != nil {
			return err
		}
	}
	return nil
}

// follow goes along a link whose facts are loaded from a number on.
func (w *walk) follow(l link, after uint64) {
	begin, end := l.first-after-1, l.last-after
	var tree chain.Tree
	var marks chain.Marks
	for i := begin; i < end; i++ {
		if w.kinds[i] == 0 {
			w.differ(chain.Difference{What: chain.Missing, Seq: after + 1 + i})
			return
		}
		if w.kinds[i] < 0 {
			w.differ(chain.Difference{What: chain.Doubled, Seq: after + 1 + i})
			return
		}
		tree.Add(w.leaf[i])
		marks = marks.Add(w.leaf[i])
	}
	digest := chain.Link{First: l.first, Last: l.last, Upgrade: l.upgrade, Root: tree.Root()}.After(w.Digest)
	same := string(marks) == string(l.marks)
	switch {
	case string(digest[:]) != string(l.digest) && same:
		w.differ(chain.Difference{What: chain.Broken, Seq: l.first, Through: l.last})
	case string(digest[:]) != string(l.digest):
		i := begin
		for l.marks.Is(int(i-begin), w.leaf[i]) {
			i++
		}
		w.differ(chain.Difference{What: chain.Changed, Seq: after + 1 + i})
	case !same:
		w.differ(chain.Difference{What: chain.Remarked, Seq: l.first, Through: l.last})
	default:
		w.Facts, w.Digest = l.last, digest
		if l.upgrade {
			w.Upgraded = l.last
		}
	}
}

// unchained looks for facts behind the end of the chain.
func (w *walk) unchained(r *reader) error {
	for i := range tables {
		err := r.rows("SELECT min(seq) FROM "+tables[i].name+" WHERE seq > ?", func(row *sqlite3.Stmt) error {
			seq := count(row, 0)
			if seq > 0 && (w.Difference == nil || seq < w.Difference.Seq) {
				w.Difference = &chain.Difference{What: chain.Added, Seq: seq}
			}
			return nil
		}, int64(w.Facts))
		if err != nil {
			return err
		}
	}
	if w.Difference != nil {
		return r.describe(w.Difference, nil)
	}
	return nil
}

// compare compares heads with the links that they are of.
func (w *walk) compare(r *reader, heads []chain.Head) error {
	for _, h := range heads {
		digest, err := r.digestAt(h.Seq)
		if err != nil {
			return err
		}
		switch {
		case h.Seq <= w.Facts && h.Is(digest):
			w.Held = append(w.Held, h)
		case h.Seq <= w.Facts:
			w.differ(chain.Difference{What: chain.OtherEnd, Seq: h.Seq, Head: &h})
		default: // where the walk ended early, it has said why
			w.differ(chain.Difference{What: chain.CutShort, Seq: w.Facts + 1, Through: h.Seq, Head: &h})
		}
	}
	return nil
}

// digestAt returns the digest of the link that ends with a number; nil: none does.
func (r *reader) digestAt(seq uint64) (digest []byte, err error) {
	err = r.rows("SELECT digest FROM chain WHERE last = ?", func(row *sqlite3.Stmt) error {
		digest = row.ColumnBlob(0, nil)
		return nil
	}, bound(seq))
	return digest, err
}
