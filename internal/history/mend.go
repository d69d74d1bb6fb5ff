package history

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/ncruces/go-sqlite3"
)

// knownLists are the lists as they were when the history was opened and they agreed with the
// facts. What has changed since follows from the facts since.
type knownLists struct {
	Seq    uint64            `json:"seq"`    // of the last fact
	Digest string            `json:"digest"` // of its link
	Jobs   map[string]string `json:"jobs"`   // digests by the range of the jobs
	Spans  string            `json:"spans"`  // digest of the blocks up to Seq
}

// mend puts right what the facts and this program say of the file, before anything is done
// with it: triggers, indexes and views, and the lists. What it finds is said by Found.
func (s *Store) mend() error {
	err := s.mendSchema()
	if err == nil {
		err = s.mendLists()
	}
	if errors.Is(err, ErrDamaged) {
		s.found = append(s.found, "the lists were not compared with the facts: "+err.Error())
		return nil
	}
	return err
}

// mendSchema makes the triggers, indexes and views that this program makes, and takes others
// away. A table is left as it is: it has what was stored.
func (s *Store) mendSchema() error {
	made, err := currentSchema()
	if err != nil {
		return err
	}
	var there map[string]string
	err = s.read(context.Background(), "its schema", func(r *reader) (err error) {
		there, err = r.schema()
		return err
	})
	if err != nil {
		return err
	}
	differ := schemaDiffers(there, made)
	if len(differ) == 0 {
		return nil
	}
	var drop, create []string
	for _, object := range slices.Sorted(maps.Keys(there)) {
		kind, name, _ := strings.Cut(object, " ")
		if kind != "table" && there[object] != made[object] {
			drop = append(drop, "DROP "+kind+" IF EXISTS "+sqlite3.QuoteIdentifier(name)) // a trigger goes with its view
		}
	}
	for _, object := range slices.Backward(slices.Sorted(maps.Keys(made))) { // views first: triggers may name them
		if !strings.HasPrefix(object, "table ") && there[object] != made[object] {
			create = append(create, made[object])
		}
	}
	what := "tables, indexes, triggers or views are not those of this program: " + strings.Join(differ, ", ")
	err = s.writer.change(append(drop, create...)...)
	if errors.Is(err, sqlite3.ERROR) || errors.Is(err, sqlite3.CONSTRAINT) { // another table than ours, or rows that ours does not take
		s.found = append(s.found, what+"; they cannot be put right: "+err.Error())
		return nil
	}
	if err != nil {
		return fmt.Errorf("put the schema of history %s right: %w", s.place.path, err)
	}
	if len(drop)+len(create) > 0 {
		what += "; triggers, indexes and views were put right"
	}
	s.found = append(s.found, what+"; gaugectl history verify says whether the facts are what was stored")
	return nil
}

// change runs statements in one transaction.
func (w *writer) change(statements ...string) error {
	err := w.conn.Exec("BEGIN IMMEDIATE")
	for i := 0; err == nil && i < len(statements); i++ {
		err = w.conn.Exec(statements[i])
	}
	if err == nil {
		err = w.conn.Exec("COMMIT")
	}
	if err != nil {
		return errors.Join(err, w.undo())
	}
	return nil
}

// mendLists compares the lists with the facts and makes those anew that differ. Ranges of
// jobs that have no new fact are compared with their digests of before.
func (s *Store) mendLists() error {
	wrong := &wrongRows{}
	m := mending{wrong: wrong}
	err := s.read(context.Background(), "the lists", func(r *reader) (err error) {
		known := &knownLists{}
		if s.place.vfs == "" {
			if known, err = r.trusted(s.place.path, s.id); err != nil {
				return err
			}
		}
		return m.compare(r, known)
	})
	if err == nil && len(m.statements) > 0 {
		err = s.writer.change(m.statements...)
	}
	if err != nil {
		return fmt.Errorf("compare the lists of history %s with its facts: %w", s.place.path, err)
	}
	if len(wrong.named) > 0 {
		s.found = append(s.found, "the lists by which facts are found did not say what the facts say, and were made anew from them: "+wrong.String())
	}
	end := s.end.Load()
	s.lists = &knownLists{Seq: end.seq, Digest: hex.EncodeToString(end.digest[:]), Jobs: map[string]string{}}
	return s.read(context.Background(), "the lists", func(r *reader) error {
		for of, digest := range m.sums {
			if digest != (sum{}) {
				s.lists.Jobs[strconv.FormatInt(of, 10)] = digest.String()
			}
		}
		spans, err := r.spansSum(end.seq)
		s.lists.Spans = spans.String()
		return err
	})
}

// trusted is what is known of the lists, where it is of this history; empty: nothing.
func (r *reader) trusted(path, id string) (*knownLists, error) {
	k, err := readKnown(path)
	if err != nil || k.History != id || k.Lists == nil {
		return &knownLists{}, nil // nothing is known, or said by recognise
	}
	digest, err := r.digestAt(k.Lists.Seq)
	if err != nil || hex.EncodeToString(digest) != k.Lists.Digest {
		return &knownLists{}, err
	}
	return k.Lists, nil
}

// mending is what makes the lists what the facts say.
type mending struct {
	wrong      *wrongRows
	sums       map[int64]sum // of the lists when they are made
	statements []string
}

func (m *mending) compare(r *reader, known *knownLists) (err error) {
	if m.sums, err = r.sums(math.MinInt64, math.MaxInt64); err != nil {
		return err
	}
	unsure := map[int64]bool{}
	changed, err := r.jobRanges(known.Seq)
	if err != nil {
		return err
	}
	for _, of := range changed {
		unsure[of] = true
	}
	for of, digest := range m.sums {
		if known.Jobs[strconv.FormatInt(of, 10)] != digest.String() {
			unsure[of] = true
		}
	}
	for of := range known.Jobs {
		n, err := strconv.ParseInt(of, 10, 64)
		if err == nil && m.sums[n] == (sum{}) {
			unsure[n] = true
		}
	}
	if err := m.compareJobs(r, slices.Sorted(maps.Keys(unsure))); err != nil {
		return err
	}
	spans, err := r.spansSum(known.Seq)
	if err != nil {
		return err
	}
	after := int64(math.MinInt64)
	if known.Seq > 0 && known.Spans == spans.String() {
		after = int64(known.Seq)
	}
	return r.compareSpans(after, m.wrong, func(should map[string][]string) error {
		m.statements = append(m.statements, fmt.Sprintf("DELETE FROM spans WHERE last > %d", after))
		for _, row := range should {
			m.statements = append(m.statements, "INSERT INTO spans (last, least, most) VALUES ("+strings.ReplaceAll(strings.Join(row, ", "), "nothing", "NULL")+")")
		}
		return nil
	})
}

func (m *mending) compareJobs(r *reader, ranges []int64) (err error) {
	if len(ranges) == 0 {
		return nil
	}
	p, err := newReplay()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, p.close()) }()
	for _, of := range ranges {
		err := p.compare(r, of, m.sums[of], m.wrong, func(made *reader) error { return m.rewrite(made, of) })
		if err != nil {
			return err
		}
	}
	return nil
}

// rewrite takes the lists of a range of jobs from those that the facts make.
func (m *mending) rewrite(made *reader, of int64) error {
	from, to := jobsOf(of)
	for i := range lists {
		t := &lists[i]
		m.statements = append(m.statements, fmt.Sprintf("DELETE FROM %s WHERE job BETWEEN %d AND %d", t.name, from, to))
		into := "INSERT INTO " + t.name + " (" + strings.Join(t.columns, ", ") + ") VALUES ("
		err := made.rows("SELECT quote("+strings.Join(t.columns, ") || ', ' || quote(")+") FROM "+t.name, func(row *sqlite3.Stmt) error {
			m.statements = append(m.statements, into+row.ColumnText(0)+")")
			return nil
		})
		if err != nil {
			return err
		}
	}
	sums, err := made.sums(from, to)
	m.sums[of] = sums[of]
	return err
}
