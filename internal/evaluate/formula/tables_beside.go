package formula

import (
	"errors"
	"io/fs"
	"path/filepath"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// TablesBeside lists the tables that a procedure or part family keeps in files of their
// own beside it.
func TablesBeside(content []byte) (names []string) {
	root := shopfile.Parse("", content).Root()
	if !root.IsMap() {
		return nil
	}
	m := root.Map()
	named := func(v shopfile.Value) {
		if !v.IsMap() {
			return
		}
		if file := v.Map().Get("file"); shopfile.IsTableName(file.Text()) && !slices.Contains(names, file.Text()) {
			names = append(names, file.Text())
		}
	}
	if tables := m.Get("tables"); tables.IsMap() {
		for _, e := range tables.Map().Entries() {
			named(e.Value)
		}
	}
	named(m.Get("chart"))
	return names
}

// WithTables returns the text of a version: a procedure or part family that was read
// from path, with the tables that lie beside it. read reads a file; what it does not
// find is told where the file names it.
func WithTables(path string, content []byte, read func(path string) ([]byte, error)) ([]byte, error) {
	var tables []shopfile.Beside
	size := len(content)
	for _, name := range TablesBeside(content) {
		beside, err := read(filepath.Join(filepath.Dir(path), name))
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, shopfile.Problem{File: path, Line: 1, Column: 1, Says: gauge.Say("entry.table-unread", gauge.Because("why", err))}
		}
		tables = append(tables, shopfile.Beside{Name: name, Content: beside})
		if size += len(beside); size > shopfile.MaxSize {
			break // who parses it says that all together is too long
		}
	}
	joined, err := shopfile.Join(content, tables)
	if err != nil {
		return nil, shopfile.Problem{File: path, Line: 1, Column: 1, Says: gauge.Told(err)}
	}
	return joined, nil
}
