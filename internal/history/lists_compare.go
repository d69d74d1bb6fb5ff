package history

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/history/chain"
)

// namedRows is how many rows of the lists are named.
const namedRows = 20

// wrongRows are the rows of the lists that are not what the facts say.
type wrongRows struct {
	named []string
	more  int
}

func (w *wrongRows) add(what string) {
	if len(w.named) == namedRows {
		w.more++
		return
	}
	w.named = append(w.named, what)
}

func (w *wrongRows) String() string {
	text := strings.Join(w.named, "; ")
	if w.more > 0 {
		text += fmt.Sprintf("; and %d more", w.more)
	}
	return text
}

// compareLists compares the lists with the facts, in one transaction after the other; nil:
// they are what the facts say.
func compareLists(read func(func(*reader) error) error) (d *chain.Difference, err error) {
	p, err := newReplay()
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, p.close()) }()
	have, wrong := map[int64]sum{}, &wrongRows{}
	err = read(func(r *reader) (err error) {
		if have, err = r.sums(math.MinInt64, math.MaxInt64); err != nil {
			return err
		}
		ranges, err := r.jobRanges(0)
		for _, of := range ranges {
			if _, is := have[of]; !is {
				have[of] = sum{} // the lists have nothing of it
			}
		}
		return err
	})
	for _, of := range slices.Sorted(maps.Keys(have)) {
		if err == nil {
			err = read(func(r *reader) error {
				return p.compare(r, of, have[of], wrong, nil)
			})
		}
	}
	if err == nil {
		err = read(func(r *reader) error { return r.compareSpans(math.MinInt64, wrong, nil) })
	}
	if err == nil {
		err = read(func(r *reader) error { return r.compareNumbers(wrong) })
	}
	if err != nil || len(wrong.named) == 0 {
		return nil, err
	}
	return &chain.Difference{What: chain.Relisted, Detail: wrong.String()}, nil
}

// compare compares the lists of a range of jobs, whose digest was have, with the facts. Where
// they differ it calls mend with the lists that the facts make.
func (p *replay) compare(r *reader, of int64, have sum, wrong *wrongRows, mend func(*reader) error) error {
	from, to := jobsOf(of)
	return p.of(r, from, to, func(made *reader) error {
		want, err := made.sums(from, to)
		if err != nil || want[of] == have {
			return err
		}
		before := len(wrong.named) + wrong.more
		for i := range lists {
			there, err := r.listed(&lists[i], from, to)
			if err != nil {
				return err
			}
			should, err := made.listed(&lists[i], from, to)
			if err != nil {
				return err
			}
			lists[i].compareRows(there, should, wrong)
		}
		if mend == nil || len(wrong.named)+wrong.more == before {
			return nil // a fact has come meanwhile
		}
		return mend(made)
	})
}

// listed are rows of a list by their keys.
func (r *reader) listed(t *table, from, to int64) (rows map[string][]string, err error) {
	rows = map[string][]string{}
	if lacks, err := r.lacks(t); lacks || err != nil {
		return rows, err
	}
	err = r.rows(t.between(), func(row *sqlite3.Stmt) error {
		values := make([]string, len(t.columns))
		for i := range values {
			switch row.ColumnType(i) {
			case sqlite3.NULL:
				values[i] = "nothing"
			case sqlite3.INTEGER:
				values[i] = row.ColumnText(i)
			default:
				values[i] = strconv.Quote(row.ColumnText(i))
			}
		}
		rows[t.rowName(values)] = values
		return nil
	}, from, to)
	return rows, err
}

// rowName says which row it is: that of a job, or of a job with a gauge, a serial number
// or a label.
func (t *table) rowName(values []string) string {
	name := t.name + " has " + t.columns[0] + " " + values[0]
	if len(t.columns) == 2 {
		name += " with " + t.columns[1] + " " + values[1]
	}
	return name
}

// compareRows names the rows that are not those that they should be.
func (t *table) compareRows(there, should map[string][]string, wrong *wrongRows) {
	for _, name := range slices.Sorted(maps.Keys(should)) {
		values, is := there[name]
		if !is {
			wrong.add(strings.Replace(name, " has ", " lacks ", 1))
			continue
		}
		for i, want := range should[name] {
			if values[i] != want {
				wrong.add(fmt.Sprintf("%s with %s %s, the facts say %s", name, t.columns[i], values[i], want))
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(there)) {
		if _, is := should[name]; !is {
			wrong.add(name + ", the facts have none")
		}
	}
}

// compareSpans compares the times of the blocks after a number with those of their facts.
// Where they differ it calls mend with the rows that they should be.
func (r *reader) compareSpans(after int64, wrong *wrongRows, mend func(map[string][]string) error) error {
	there, err := r.listed(&spansList, after+1, math.MaxInt64)
	if err != nil {
		return err
	}
	last, err := r.lastSeq()
	if err != nil {
		return err
	}
	should := map[string][]string{}
	for end := max(after, 0)/block*block + block; end <= int64(last); end += block {
		err := r.rows("SELECT ?1, coalesce(min(time), 'nothing'), coalesce(max(time), 'nothing') FROM fact_times WHERE seq > ?2 AND seq <= ?1", func(row *sqlite3.Stmt) error {
			values := []string{row.ColumnText(0), row.ColumnText(1), row.ColumnText(2)}
			should[spansList.rowName(values)] = values
			return nil
		}, end, end-block)
		if err != nil {
			return err
		}
	}
	if maps.EqualFunc(there, should, slices.Equal) {
		return nil
	}
	spansList.compareRows(there, should, wrong)
	if mend == nil {
		return nil
	}
	return mend(should)
}

// compareNumbers looks at what is stored beside the facts and names some of them: the
// requests, and the stretches of numbers.
func (r *reader) compareNumbers(wrong *wrongRows) error {
	last, err := r.lastSeq()
	if err != nil {
		return err
	}
	for _, query := range []string{
		"SELECT 'requests has id ' || json_quote(id) || ' with facts ' || first || ' to ' || last FROM requests WHERE first < 1 OR last < first OR last > ?",
		"SELECT 'stretches has number ' || number || ' after fact ' || after FROM stretches s WHERE after < 0 OR after > ? OR after < (SELECT max(after) FROM stretches b WHERE b.number < s.number)",
	} {
		err := r.rows(query, func(row *sqlite3.Stmt) error {
			wrong.add(row.ColumnText(0) + fmt.Sprintf(", the facts end with %d", last))
			return nil
		}, int64(last))
		if err != nil {
			return err
		}
	}
	return nil
}
