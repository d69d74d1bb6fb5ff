package history

import (
	"context"
	"errors"
	"maps"
	"slices"
	"strings"
	"sync"

	"github.com/ncruces/go-sqlite3"
	"github.com/ncruces/go-sqlite3/driver"

	"gauged/internal/history/chain"
)

// schemaObjects are the objects of a schema. SQLite makes what is named sqlite_ itself, and
// refuses such names to others. The table of goose is as the version of goose made it that
// began the history.
const schemaObjects = `SELECT type, name, coalesce(sql, '') FROM sqlite_schema
	WHERE substr(name, 1, 7) <> 'sqlite_' AND NOT (type = 'table' AND name = 'goose_db_version')`

// compareSchema compares the tables, indexes, triggers and views of a history with those that
// this program makes; nil: they are the same.
func (r *reader) compareSchema(ctx context.Context) (*chain.Difference, error) {
	version, err := r.number("SELECT max(version_id) FROM goose_db_version WHERE is_applied")
	if err != nil {
		return nil, err
	}
	made, err := madeSchema(ctx, int64(version))
	if err != nil {
		return nil, err
	}
	there, err := r.schema()
	if err != nil {
		return nil, err
	}
	differ := schemaDiffers(there, made)
	if len(differ) == 0 {
		return nil, nil
	}
	return &chain.Difference{What: chain.Rebuilt, Detail: strings.Join(differ, ", ")}, nil
}

// schema is the SQL of each object, by its type and name.
func (r *reader) schema() (map[string]string, error) {
	there := map[string]string{}
	err := r.rows(schemaObjects, func(row *sqlite3.Stmt) error {
		there[row.ColumnText(0)+" "+row.ColumnText(1)] = row.ColumnText(2)
		return nil
	})
	return there, err
}

// schemaDiffers names what is not as this program makes it.
func schemaDiffers(there, made map[string]string) (differ []string) {
	for _, object := range slices.Sorted(maps.Keys(there)) {
		switch sql, known := made[object]; {
		case !known:
			differ = append(differ, object+" was added")
		case sql != there[object]:
			differ = append(differ, object+" is another")
		}
	}
	for _, object := range slices.Sorted(maps.Keys(made)) {
		if _, is := there[object]; !is {
			differ = append(differ, object+" is missing")
		}
	}
	return differ
}

// currentSchema is the schema of this program; it is made once.
var currentSchema = sync.OnceValues(func() (map[string]string, error) {
	return madeSchema(context.Background(), schemaVersion)
})

// madeSchema is the schema of a version as this program makes it: the SQL of each object, by
// its type and name.
func madeSchema(ctx context.Context, version int64) (made map[string]string, err error) {
	db, err := driver.Open(":memory:")
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	db.SetMaxOpenConns(1)
	provider, err := migrations(db)
	if err != nil {
		return nil, err
	}
	if _, err := provider.UpTo(ctx, version); err != nil {
		return nil, err
	}
	rows, err := db.QueryContext(ctx, schemaObjects)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	made = map[string]string{}
	for rows.Next() {
		var kind, name, sql string
		if err := rows.Scan(&kind, &name, &sql); err != nil {
			return nil, err
		}
		made[kind+" "+name] = sql
	}
	return made, rows.Err()
}
