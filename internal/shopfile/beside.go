package shopfile

import (
	"bytes"
	"path/filepath"
	"strings"

	"gauged/internal/gauge"
)

// Beside is a table that lies in a CSV file of its own beside the file that names it.
type Beside struct {
	Name    string // of the file, without a directory
	Content []byte
}

// beside begins the line with which such a table begins in the text of a version, its
// name behind it. YAML ends at the three points.
const beside = "... table "

// Join joins a file and the tables beside it to one text: what is kept as its version.
// A file without tables is its own version.
func Join(main []byte, tables []Beside) ([]byte, error) {
	if _, already := Split(main); len(already) > 0 {
		return nil, gauge.WrongInput("entry.beside-mark", gauge.Text("mark", beside))
	}
	var joined bytes.Buffer
	joined.Write(main)
	for _, t := range tables {
		if _, more := Split(t.Content); len(more) > 0 {
			return nil, gauge.WrongInput("entry.beside-mark-in-table", gauge.Text("table", t.Name), gauge.Text("mark", beside))
		}
		endLine(&joined)
		joined.WriteString(beside + t.Name + "\n")
		joined.Write(t.Content)
	}
	return joined.Bytes(), nil
}

func endLine(b *bytes.Buffer) {
	if text := b.Bytes(); len(text) > 0 && text[len(text)-1] != '\n' {
		b.WriteByte('\n')
	}
}

// Split parts the text of a version into the file and the tables beside it.
func Split(content []byte) (main []byte, tables []Beside) {
	main = content
	from := 0 // of the table before
	for at := 0; at < len(content); {
		line, _, _ := bytes.Cut(content[at:], []byte("\n"))
		next := min(at+len(line)+1, len(content))
		if name, begins := strings.CutPrefix(string(line), beside); begins {
			if len(tables) == 0 {
				main = content[:at]
			} else {
				tables[len(tables)-1].Content = content[from:at]
			}
			tables = append(tables, Beside{Name: strings.TrimSpace(name)})
			from = next
		}
		at = next
	}
	if len(tables) > 0 {
		tables[len(tables)-1].Content = content[from:]
	}
	return main, tables
}

// IsTableName reports whether a text names a CSV file beside another one.
func IsTableName(name string) bool {
	return filepath.Base(name) == name && !strings.ContainsAny(name, `/\:`) && !strings.HasPrefix(name, ".") &&
		strings.EqualFold(filepath.Ext(name), ".csv") && strings.TrimSpace(name) == name
}

// attached is a table of a version that is read.
type attached struct {
	Beside
	used bool
}

// attach takes up the tables of a version.
func (d *Document) attach(tables []Beside) {
	d.tables = map[string]*attached{}
	for _, t := range tables {
		if _, twice := d.tables[t.Name]; twice {
			d.add(1, 1, gauge.Say("entry.table-twice", Quoted("table", t.Name)))
		}
		d.tables[t.Name] = &attached{Beside: t}
	}
}

// unused reports tables that nothing in the file names.
func (d *Document) unused() {
	for _, t := range d.tables {
		if !t.used {
			t.used = true
			d.add(1, 1, gauge.Say("entry.table-unused", Quoted("table", t.Name)))
		}
	}
}
