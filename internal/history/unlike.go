package history

import (
	"context"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/history/chain"
)

// Unlike returns the numbers of the facts about gauges, and of those that say who may come
// in, that are not what was stored: their marks in the chain are others. Who changes the
// marks as well is found by Verify.
func (s *Store) Unlike(ctx context.Context) (numbers map[uint64]bool, err error) {
	numbers = map[uint64]bool{}
	for _, kind := range []int{gaugeTable, accessTable} {
		for after, more := uint64(0), true; more && err == nil; {
			err = s.read(ctx, "the chain", func(r *reader) (err error) {
				after, more, err = r.unlike(kind, after, numbers)
				return err
			})
		}
	}
	return numbers, err
}

// unlike compares up to a page of facts of a kind after a number with their marks.
func (r *reader) unlike(kind int, after uint64, numbers map[uint64]bool) (last uint64, more bool, err error) {
	type stored struct {
		seq  uint64
		leaf chain.Digest
	}
	var facts []stored
	var form chain.Form
	err = r.rows(tables[kind].where("seq > ?"), func(row *sqlite3.Stmt) error {
		form = tables[kind].form(form, row)
		facts = append(facts, stored{count(row, 0), form.Leaf()})
		return nil
	}, int64(after), int64(MaxPage))
	var of link
	for _, f := range facts {
		if err != nil {
			return after, false, err
		}
		if last = f.seq; f.seq > of.last {
			of = link{}
			var links []link
			if links, err = r.links(f.seq-1, 1); len(links) > 0 {
				of = links[0]
			}
		}
		if f.seq < of.first || !of.marks.Is(int(f.seq-of.first), f.leaf) {
			numbers[f.seq] = true
		}
	}
	return last, len(facts) == MaxPage, err
}
