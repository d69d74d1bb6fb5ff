package history

import (
	"context"
	"database/sql"
	_ "embed" // the schema of this file
	"errors"
	"fmt"
	"strconv"

	"github.com/pressly/goose/v3"

	"gauged/internal/history/chain"
)

//go:embed schema/chain/chain.sql
var chainSchema string

// chainUpgrade brings a history to schema 10, in which all facts are chained. Those that are
// there are chained as they are now, in links of MaxLink facts.
func chainUpgrade() *goose.Migration {
	return goose.NewGoMigration(10, &goose.GoFunc{RunTx: func(ctx context.Context, tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, chainSchema); err != nil {
			return err
		}
		var id string
		if err := tx.QueryRowContext(ctx, "SELECT id FROM history").Scan(&id); err != nil {
			return err
		}
		l := linking{}
		l.begin(chain.Begin(id))
		for after := uint64(0); ; {
			leaves, err := storedLeaves(ctx, tx, after)
			if err != nil {
				return err
			}
			if len(leaves) == 0 {
				return nil
			}
			for _, leaf := range leaves {
				after++
				l.add(after, leaf)
			}
			l.end(true)
			if _, err := tx.ExecContext(ctx, "INSERT INTO chain (last, upgrade, digest, marks) VALUES (?, 1, ?, ?)", int64(l.last), l.digest[:], []byte(l.marks)); err != nil {
				return err
			}
			l.clear()
		}
	}}, nil)
}

// storedLeaves are the leaves of the facts that follow a number, as many as a link has. A
// hole ends the chain: what lies behind it stays unchained, and a check says so.
func storedLeaves(ctx context.Context, tx *sql.Tx, after uint64) ([]chain.Digest, error) {
	leaves, there := make([]chain.Digest, chain.MaxLink), make([]bool, chain.MaxLink)
	for i := range tables {
		err := tables[i].leaves(ctx, tx, after, func(seq uint64, leaf chain.Digest) {
			leaves[seq-after-1], there[seq-after-1] = leaf, true
		})
		if err != nil {
			return nil, fmt.Errorf("chain %s: %w", tables[i].name, err)
		}
	}
	for i := range there {
		if !there[i] {
			return leaves[:i], nil
		}
	}
	return leaves, nil
}

// leaves calls leaf for each row of the table that may be of the link after a number. The
// type of each value is asked for beside its bytes: the driver would make times of texts.
func (t *table) leaves(ctx context.Context, tx *sql.Tx, after uint64, leaf func(uint64, chain.Digest)) (err error) {
	query := "SELECT seq"
	columns, err := t.columnsIn(ctx, tx)
	if err != nil || len(columns) == 0 {
		return err
	}
	for _, column := range columns[1:] {
		query += ", typeof(" + column + "), CAST(" + column + " AS BLOB)"
	}
	rows, err := tx.QueryContext(ctx, query+" FROM "+t.name+" WHERE seq > ? AND seq <= ?", int64(after), int64(after+chain.MaxLink))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	var seq uint64
	kinds, values := make([]string, len(columns)), make([]sql.RawBytes, len(columns))
	into := []any{&seq}
	for i := range columns[1:] {
		into = append(into, &kinds[i+1], &values[i+1])
	}
	var form chain.Form
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		form = form.Fact(t.name, seq)
		for i, column := range columns {
			switch {
			case i == 0, kinds[i] == "null":
				continue
			case kinds[i] == "integer":
				n, err := strconv.ParseInt(string(values[i]), 10, 64)
				if err != nil {
					return err
				}
				form = form.Text(column).Int(n)
			case kinds[i] == "text":
				form = form.Text(column).Text(string(values[i]))
			default:
				form = form.Text(column).Bytes(values[i])
			}
		}
		leaf(seq, form.Leaf())
	}
	return rows.Err()
}

// columnsIn are the columns of the table that there are already: a later schema may add one,
// or the whole table. What is missing is as good as NULL, which has no place in a form.
func (t *table) columnsIn(ctx context.Context, tx *sql.Tx) (columns []string, err error) {
	for _, column := range t.columns {
		var there bool
		if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM pragma_table_info(?) WHERE name = ?", t.name, column).Scan(&there); err != nil {
			return nil, err
		}
		if there {
			columns = append(columns, column)
		}
	}
	return columns, nil
}
