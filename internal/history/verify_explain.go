package history

import (
	"slices"
	"time"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/history/chain"
)

// nearby is up to how far, in numbers, a fact that was moved is looked for.
const nearby = 10_000

// explain says more of the difference that was found in a link: whether the fact was moved
// or put in, and what stands there now.
func (w *walk) explain(r *reader, l link, after uint64) error {
	d := w.Difference
	if d.Through > 0 {
		return nil
	}
	mark := l.marks[(d.Seq-l.first)*chain.MarkSize:][:chain.MarkSize]
	if d.What == chain.Doubled {
		return r.describe(d, mark)
	}
	stands, err := r.standsAs(d.Seq, mark)
	if err != nil {
		return err
	}
	switch {
	case d.What == chain.Missing && stands > 0:
		d.What, d.Other = chain.Moved, d.Seq // the fact that was Other
		d.Seq = stands
	case d.What == chain.Changed:
		was, err := r.wasStoredAs(int(w.kinds[d.Seq-after-1])-1, d.Seq)
		if err != nil {
			return err
		}
		switch {
		case was > 0:
			d.What, d.Other = chain.Moved, was
		case stands > 0:
			d.What, d.Other = chain.Inserted, stands
		}
	}
	return r.describe(d, mark)
}

// standsAs looks for a fact that has a mark when it is given a number, and returns the
// number that it has; 0: there is none near. One that stands where it was stored is another
// one with the same content.
func (r *reader) standsAs(seq uint64, mark chain.Marks) (number uint64, err error) {
	low, high := max(seq, nearby)-nearby, seq+nearby
	var candidates []uint64
	var form chain.Form
	for i := range tables {
		err := r.rows(tables[i].where("seq >= ? AND seq <= ?"), func(row *sqlite3.Stmt) error {
			if form = tables[i].formAs(form, row, seq); mark.Is(0, form.Leaf()) {
				candidates = append(candidates, count(row, 0))
			}
			return nil
		}, int64(low), bound(high), int64(2*nearby+1))
		if err != nil {
			return 0, err
		}
	}
	return r.firstDisplaced(candidates)
}

// wasStoredAs returns the number under which a fact was stored; 0: none near. Where the fact
// that was stored there still stands there, this one only has the same content.
func (r *reader) wasStoredAs(table int, seq uint64) (number uint64, err error) {
	links, err := r.links(max(seq, nearby+1)-nearby-1, 2*nearby)
	if err != nil {
		return 0, err
	}
	var candidates []uint64
	var form chain.Form
	err = r.rows(tables[table].where("seq = ?"), func(row *sqlite3.Stmt) error {
		for _, l := range links {
			for i := range l.marks.Count() {
				if form = tables[table].formAs(form, row, l.first+uint64(i)); l.marks.Is(i, form.Leaf()) {
					candidates = append(candidates, l.first+uint64(i))
				}
			}
		}
		return nil
	}, bound(seq), int64(1))
	if err != nil {
		return 0, err
	}
	return r.firstDisplaced(candidates)
}

// firstDisplaced returns the first of some numbers under which does not stand what was
// stored there; 0: there is none.
func (r *reader) firstDisplaced(numbers []uint64) (uint64, error) {
	for _, seq := range numbers {
		l, err := r.links(seq-1, 1)
		if err != nil {
			return 0, err
		}
		inPlace := false
		var form chain.Form
		for i := range tables {
			err := r.rows(tables[i].where("seq = ?"), func(row *sqlite3.Stmt) error {
				form = tables[i].form(form, row)
				inPlace = inPlace || len(l) > 0 && l[0].marks.Is(int(seq-l[0].first), form.Leaf())
				return nil
			}, bound(seq), int64(1))
			if err != nil {
				return 0, err
			}
		}
		if !inPlace {
			return seq, nil
		}
	}
	return 0, nil
}

// describe says what stands under the number of a difference and has not the mark of what
// was stored there.
func (r *reader) describe(d *chain.Difference, mark chain.Marks) error {
	var form chain.Form
	for i := range tables {
		t := &tables[i]
		err := r.rows(t.where("seq = ?"), func(row *sqlite3.Stmt) error {
			if form = t.form(form, row); mark.Is(0, form.Leaf()) {
				return nil
			}
			d.Kind = t.name
			if at := slices.Index(t.columns, "gauge"); at > 0 {
				d.Gauge = row.ColumnText(at)
			}
			if at := slices.Index(t.columns, "job"); at > 0 {
				d.Job = count(row, at)
			}
			if at := slices.Index(t.columns, "time"); row.ColumnType(at) == sqlite3.INTEGER {
				d.Time = time.Unix(0, row.ColumnInt64(at)).UTC()
			}
			return nil
		}, bound(d.Seq), int64(1))
		if err != nil {
			return err
		}
	}
	return nil
}
