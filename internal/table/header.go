package table

import (
	"slices"
	"strings"

	"gauged/internal/gauge"
)

// readHeader reads the line of column names.
func (t *Table) readHeader() {
	t.broken = true
	if err := t.records.source.begin(); err != nil {
		t.problems.Add(Problem{Err: err})
		return
	}
	t.records.remark = t.decimal.say
	if !t.records.next() {
		if !t.problems.Any() {
			t.problems.Add(Problem{Err: wrong("file.empty", t.wanted()...)})
		}
		return
	}
	t.records.remark = nil
	t.decimal.separator = t.records.separator
	if t.records.failed {
		return
	}
	for i := range t.records.cells {
		c := t.records.told(i)
		t.header, t.heads = append(t.header, c.Text), append(t.heads, c)
	}
	t.broken = false
	for i := range t.header {
		if err := t.name(i); err != nil {
			p := t.records.place(i)
			p.Err = err
			t.problems.Add(p)
		}
	}
	var missing []string
	for _, c := range t.form.Columns {
		_, named := t.form.Names[c.Name]
		if (c.Needed || named) && !t.Has(c.Name) {
			missing = append(missing, c.Name)
		}
	}
	if len(missing) > 0 {
		t.missing(missing, "")
	}
}

// name finds out which column a name stands for.
func (t *Table) name(i int) error {
	name := t.header[i]
	key := plainName(name)
	if t.form.Written {
		key = name
	}
	if key == "" {
		return wrong("file.column-unnamed", gauge.Count("number", i+1))
	}
	at := t.form.find(key)
	if at >= 0 {
		key = t.form.Columns[at].Name
	}
	bare, _, _ := strings.Cut(strings.ReplaceAll(name, "[", "("), "(")
	united := t.form.find(plainName(bare))
	switch {
	case slices.ContainsFunc(t.header[:i], func(other string) bool { return other == name || !t.form.Written && Alike(other, name) }):
		return wrong("file.column-twice", gauge.Text("column", shown(name)))
	case at < 0 && united >= 0 && !t.form.Others:
		t.broken = true
		t.columns[t.form.Columns[united].Name] = i // it is not missing
		return wrong("file.column-with-unit", gauge.Text("column", shown(name)), gauge.Text("known", t.form.called(t.form.Columns[united].Name)))
	case at < 0 && !t.form.Others:
		return wrong("file.column-unknown", gauge.Text("column", shown(name)), gauge.Texts("known", t.form.known()))
	case at < 0:
		t.others = append(t.others, name)
		if slices.ContainsFunc(t.form.Columns, func(c Column) bool { return c.Name == key }) {
			return nil // that name is another one's here
		}
	}
	t.columns[key] = i
	return nil
}

// find is the place of the column that a name of the file stands for: one that was
// said to be called so before one that is; -1 when there is none.
func (f *Form) find(name string) int {
	named := slices.IndexFunc(f.Columns, func(c Column) bool { return f.Names[c.Name] != "" && plainName(f.Names[c.Name]) == name })
	if named >= 0 {
		return named
	}
	return slices.IndexFunc(f.Columns, func(c Column) bool { return f.Names[c.Name] == "" && c.Name == name })
}

// missing says that columns are not there; no row is read.
func (t *Table) missing(columns []string, remedy string) {
	t.broken = true
	var there, gone, todo []string
	for _, name := range t.header[:min(len(t.header), 20)] {
		there = append(there, shown(name))
	}
	for _, column := range columns {
		gone = append(gone, shown(t.form.called(column)))
		todo = append(todo, strings.ReplaceAll(t.form.Renamed, "%s", column))
	}
	p := t.records.place(0)
	p.Char = 1
	args := []gauge.Arg{gauge.Texts("gone", gone), gauge.Count("count", len(gone)), gauge.Texts("there", there)}
	switch {
	case remedy != "":
		p.Err = wrong("file.column-needed", append(args, gauge.Text("remedy", remedy))...)
	case t.form.Renamed != "":
		p.Err = wrong("file.column-missing", append(args, gauge.Texts("or", todo))...)
	default:
		p.Err = wrong("file.column-missing", args...)
	}
	t.problems.Add(p)
}

// wanted lists the needed columns of an empty file.
func (t *Table) wanted() []gauge.Arg {
	var names []string
	for _, c := range t.form.Columns {
		if c.Needed {
			names = append(names, t.form.called(c.Name))
		}
	}
	if len(names) == 0 {
		return nil
	}
	return []gauge.Arg{gauge.Texts("needed", names)}
}
