package export

import (
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"google.golang.org/protobuf/proto"

	"gauged/internal/cli/app"
	"gauged/internal/table"
)

// forms are the forms of files, by their endings.
var forms = []string{"csv", "jsonl", "parquet"}

// formOf is the form that the ending of a file says.
func formOf(path string) (string, error) {
	if form := strings.TrimPrefix(strings.ToLower(filepath.Ext(path)), "."); slices.Contains(forms, form) {
		return form, nil
	}
	return "", app.Usagef("--to %s: its ending says no form: name it .csv, .jsonl or .parquet", path)
}

// column is a column of a file.
type column struct {
	name  string
	kind  app.Kind
	text  func(entry any) string
	value func(entry any) any // as app.Column has it
}

// columnsOf are those of the messages of a list.
func columnsOf(entry proto.Message) (columns []column) {
	for _, c := range app.Columns(entry) {
		one := column{name: c.Name, kind: c.Kind, text: func(entry any) string { return c.Text(entry.(proto.Message)) }}
		if c.Value != nil {
			one.value = func(entry any) any { return c.Value(entry.(proto.Message)) }
		}
		if c.Kind == app.KindTime {
			one.text = func(entry any) string { return textOf(one.value(entry)) }
		}
		columns = append(columns, one)
	}
	return columns
}

// writer writes entries in a form.
type writer interface {
	write(entry any) error
	end() error
}

// newWriter begins a file of a form with such columns.
func newWriter(form string, to io.Writer, columns []column) (writer, error) {
	switch form {
	case "csv":
		w := &csvWriter{to: app.NewScreen(to), columns: columns}
		return w, w.heads()
	case "jsonl":
		return jsonWriter{to}, nil
	case "parquet":
		return newParquet(to, columns), nil
	}
	return nil, fmt.Errorf("there is no form %s", form)
}

// csvWriter writes one entry a row. What is no text of UTF-8, such as a frame in binary, is
// written as it is on a screen.
type csvWriter struct {
	to      io.Writer
	columns []column
}

func (w *csvWriter) heads() error {
	var row []string
	for _, c := range w.columns {
		row = append(row, c.name)
	}
	return table.Write(w.to, [][]string{row})
}

func (w *csvWriter) write(entry any) error {
	row := make([]string, len(w.columns))
	for i, c := range w.columns {
		row[i] = c.text(entry)
	}
	return table.Write(w.to, [][]string{row})
}

func (w *csvWriter) end() error { return nil }

// jsonWriter writes one entry a line.
type jsonWriter struct{ to io.Writer }

func (w jsonWriter) write(entry any) error {
	if m, ok := entry.(proto.Message); ok {
		return app.WriteLine(w.to, m)
	}
	return json.NewEncoder(w.to).Encode(entry)
}

func (w jsonWriter) end() error { return nil }
