package shopfile

import (
	"bytes"
	"errors"
	"path/filepath"
	"strings"

	"go.yaml.in/yaml/v4"

	"gauged/internal/gauge"
	"gauged/internal/table"
)

// GridForm says what stands in a table beside a file.
type GridForm struct {
	Corner      string // what the rows are looked up by
	Columned    bool   // there are columns, with heads of their own
	RowMarks    bool   // the rows are looked up by marks, no numbers
	ColumnMarks bool   // so are the columns
}

// Grid returns the rows of the CSV table beside this file that the value names, as if
// they stood in the file: each key with its value, or, where there are columns, with
// the list of its values. The line of column names begins with corner; behind it stands
// what the values are, or the heads of the columns. Numbers, and ranges of them, may
// have the decimal comma of the table and are returned with a point; what is looked up
// by marks stays as it is. Problems have their place in the table's own file.
func (v Value) Grid(f GridForm) (columns, rows Value) {
	name := v.Text()
	if !IsTableName(name) {
		v.Wrong(gauge.Say("entry.no-table-name", Quoted("name", name)))
		return columns, rows
	}
	t, there := v.doc.tables[name]
	if !there {
		v.Wrong(gauge.Say("entry.table-not-there", Quoted("table", name), Quoted("dir", filepath.Dir(v.doc.name))))
		return columns, rows
	}
	t.used = true
	d := &Document{name: filepath.Join(filepath.Dir(v.doc.name), name), into: v.doc, cut: v.doc.cut}
	return d.grid(t.Content, f)
}

// grid reads the table of a file of its own.
func (d *Document) grid(content []byte, f GridForm) (columns, rows Value) {
	t := table.New(d.name, bytes.NewReader(content), table.Form{Others: true, Written: true})
	heads := t.Heads()
	if len(heads) == 0 {
		d.fromTable(t.Err())
		return columns, rows
	}
	if heads[0].Text != f.Corner {
		d.add(heads[0].Line, heads[0].Char, gauge.Say("entry.table-corner", Quoted("name", heads[0].Text), Quoted("corner", f.Corner)))
	}
	if !f.Columned && len(heads) != 2 {
		d.add(heads[0].Line, heads[0].Char, gauge.Say("entry.table-two-columns", gauge.Count("columns", len(heads))))
	}
	unread := false
	scalar := func(c table.Cell, mark bool) *yaml.Node {
		if !mark && isNumbers(c.Text) {
			point, err := t.Decimal().Point(c.Text, c.Line)
			if err != nil {
				d.add(c.Line, c.Char, gauge.Told(err))
				unread = true
			}
			c.Text = point
		}
		return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: c.Text, Line: c.Line, Column: c.Char}
	}
	begin := func(kind yaml.Kind, c table.Cell) *yaml.Node {
		return &yaml.Node{Kind: kind, Line: c.Line, Column: c.Char}
	}
	if f.Columned {
		list := begin(yaml.SequenceNode, heads[0])
		for _, head := range heads[1:] {
			list.Content = append(list.Content, scalar(head, f.ColumnMarks))
		}
		columns = Value{d, list}
	}
	mapping := begin(yaml.MappingNode, heads[0])
	for row := range t.Rows() {
		cells := row.Cells()
		key := scalar(cells[0], f.RowMarks)
		value := scalar(cells[min(1, len(cells)-1)], false)
		if f.Columned {
			value = begin(yaml.SequenceNode, cells[0])
			for _, cell := range cells[1:] {
				value.Content = append(value.Content, scalar(cell, false))
			}
		}
		mapping.Content = append(mapping.Content, key, value)
	}
	if d.fromTable(t.Err()); unread || !t.OK() {
		return Value{}, Value{}
	}
	return columns, Value{d, mapping}
}

// isNumbers reports whether a text is meant as a number or as a range of two.
func isNumbers(text string) bool {
	return strings.ContainsAny(text, "0123456789") && strings.Trim(text, "+-0123456789.,") == ""
}

// fromTable takes up what is wrong with the form of a table.
func (d *Document) fromTable(err error) {
	var many interface{ Unwrap() []error }
	if !errors.As(err, &many) {
		return
	}
	for _, one := range many.Unwrap() {
		var p *table.Problem
		if errors.As(one, &p) {
			d.add(max(p.Line, 1), max(p.Char, 1), gauge.Told(p.Err))
			continue
		}
		d.add(1, 1, gauge.Told(one))
	}
}
