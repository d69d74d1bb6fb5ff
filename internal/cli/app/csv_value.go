package app

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"reflect"
	"strconv"
	"strings"

	"gauged/internal/table"
)

// node is a value of JSON whose fields keep their order.
type node struct {
	text   string // of a plain value; empty for null
	names  []string
	fields []node
	kind   byte // '{', '[' or 0
}

func parseNode(text string) (node, error) {
	decoder := json.NewDecoder(strings.NewReader(text))
	decoder.UseNumber()
	return readNode(decoder)
}

func readNode(decoder *json.Decoder) (n node, err error) {
	token, err := decoder.Token()
	if err != nil {
		return n, err
	}
	switch t := token.(type) {
	case json.Delim:
		n.kind = byte(t)
		for decoder.More() {
			if n.kind == '{' {
				name, err := decoder.Token()
				if err != nil {
					return n, err
				}
				n.names = append(n.names, name.(string))
			}
			one, err := readNode(decoder)
			if err != nil {
				return n, err
			}
			n.fields = append(n.fields, one)
		}
		_, err = decoder.Token()
	case string:
		n.text = t
	case json.Number:
		n.text = t.String()
	case bool:
		n.text = strconv.FormatBool(t)
	}
	return n, err
}

func (n node) plain() bool { return n.kind == 0 }

// writeValueCSV writes a list as rows, and anything else as names and values.
func writeValueCSV(w io.Writer, value any) error {
	if reflect.TypeOf(value).Kind() != reflect.Slice {
		n, text, err := nodeOf(value)
		if err != nil || n.kind != '{' {
			return fmt.Errorf("%s is not an object: %w", text, err)
		}
		return writeFields(w, text)
	}
	entries, _, err := nodeOf(value)
	if err != nil {
		return err
	}
	sample, _, err := nodeOf(sampleOf(reflect.TypeOf(value).Elem()).Interface())
	if err != nil {
		return err
	}
	var names []string
	sample.cells("", func(name, _ string) { names = append(names, name) })
	rows := [][]string{names}
	for _, entry := range entries.fields {
		found := map[string]string{}
		entry.cells("", func(name, cell string) { found[name] = cell })
		var row []string
		for _, name := range names {
			row = append(row, found[name])
		}
		rows = append(rows, row)
	}
	return table.Write(w, rows)
}

func nodeOf(value any) (n node, text string, err error) {
	var out bytes.Buffer
	if err := encodeJSON(&out, value); err != nil {
		return n, "", err
	}
	n, err = parseNode(out.String())
	return n, out.String(), err
}

// sampleOf is a value of a type in which nothing is absent, so that all its fields
// have names.
func sampleOf(t reflect.Type) reflect.Value {
	v := reflect.New(t).Elem()
	switch t.Kind() {
	case reflect.Pointer:
		v.Set(sampleOf(t.Elem()).Addr())
	case reflect.Struct:
		for i := range t.NumField() {
			if t.Field(i).IsExported() || t.Field(i).Anonymous {
				v.Field(i).Set(sampleOf(t.Field(i).Type))
			}
		}
	case reflect.String:
		v.SetString("-")
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int, reflect.Int64:
		v.SetInt(1)
	}
	return v
}

// cells tells the cells of an entry. Those of an object in it have its name in front.
// Entries of a list have a semicolon between them; what they hold stays JSON.
func (n node) cells(name string, tell func(name, cell string)) {
	switch n.kind {
	case '{':
		if name != "" {
			name += "_"
		}
		for i, one := range n.fields {
			one.cells(name+n.names[i], tell)
		}
	case '[':
		var texts []string
		for _, one := range n.fields {
			texts = append(texts, one.json())
		}
		tell(name, strings.Join(texts, "; "))
	default:
		tell(name, n.text)
	}
}

// json is a plain value as it is, and another one as JSON with all values as texts.
func (n node) json() string {
	if n.plain() {
		return n.text
	}
	var parts []string
	for i, one := range n.fields {
		part := strconv.Quote(one.json())
		if n.kind == '{' {
			part = strconv.Quote(n.names[i]) + ":" + part
		}
		parts = append(parts, part)
	}
	if n.kind == '{' {
		return "{" + strings.Join(parts, ",") + "}"
	}
	return "[" + strings.Join(parts, ",") + "]"
}

// writeFields writes the fields of a JSON object as rows of a name and a value. The
// name of one that lies in another is a path with points; entries of a list are
// numbered from 1.
func writeFields(w io.Writer, text string) error {
	n, err := parseNode(text)
	if err != nil {
		return err
	}
	rows := [][]string{{"name", "value"}}
	n.paths("", func(name, value string) { rows = append(rows, []string{name, value}) })
	return table.Write(w, rows)
}

func (n node) paths(path string, tell func(name, value string)) {
	if n.plain() {
		tell(path, n.text)
		return
	}
	if path != "" {
		path += "."
	}
	for i, one := range n.fields {
		if n.kind == '[' {
			one.paths(path+strconv.Itoa(i+1), tell)
		} else {
			one.paths(path+n.names[i], tell)
		}
	}
}
