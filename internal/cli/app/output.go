package app

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"gauged/internal/table"
)

// The forms of output. JSON and CSV have the names of the contract's fields, in
// snake_case, and times after RFC 3339 in UTC.
const (
	OutputTable = "table"
	OutputJSON  = "json"
	OutputCSV   = "csv"
)

// Outputs are the forms of output.
var Outputs = []string{OutputTable, OutputJSON, OutputCSV}

// TableOnly annotates a command that has tables alone; it says why.
const TableOnly = "table only"

// Talks is why a command that leads a person, or tells one what happens, has tables alone.
var Talks = map[string]string{TableOnly: "what it says is for a person"}

// TakeOutput takes the form of output that the command line asks for; a command that
// does not have it is refused before it does anything.
func (a *App) TakeOutput(cmd *cobra.Command) error {
	if !slices.Contains(Outputs, a.Output) {
		return NotOneOf("--output", a.Output, Outputs)
	}
	for c := cmd; c != nil && a.Output != OutputTable; c = c.Parent() {
		if why, ok := c.Annotations[TableOnly]; ok {
			return fmt.Errorf("%s has no %s: %s; leave --output out", cmd.CommandPath(), strings.ToUpper(a.Output), why)
		}
	}
	if screen, ok := a.Stdout.(*Screen); ok && a.Output == OutputJSON {
		a.Stdout = screen.forJSON()
	}
	return nil
}

// Show writes an answer of the daemon: as JSON the message itself; as CSV the
// entries of its list, one a row, or the fields of a message without one; else what
// table makes of it.
func (a *App) Show(answer proto.Message, table func(io.Writer)) error {
	switch a.Output {
	case OutputJSON:
		return writeJSON(a.Stdout, answer, true)
	case OutputCSV:
		return writeMessageCSV(a.Stdout, answer)
	}
	table(a.Stdout)
	return nil
}

// ShowValue writes what the command itself has found: as JSON with the names of its
// tags, which are snake_case; as CSV the entries of a list, one a row, or the fields
// of a value; else what table makes of it.
func (a *App) ShowValue(value any, table func(io.Writer) error) error {
	switch a.Output {
	case OutputJSON:
		return encodeJSON(a.Stdout, value)
	case OutputCSV:
		return writeValueCSV(a.Stdout, value)
	}
	return table(a.Stdout)
}

// Entries writes a list without an end: as JSON each entry on a line, as CSV each on a
// row under the names of its fields.
type Entries struct {
	app     *App
	columns []column
	begun   bool
}

// NewEntries prepares a list of such entries.
func (a *App) NewEntries(one proto.Message) *Entries {
	return &Entries{app: a, columns: entryColumns(one.ProtoReflect().Descriptor())}
}

// Begin writes the names of the columns of CSV, once. The head of a table is the
// caller's.
func (e *Entries) Begin() error {
	if e.app.Output != OutputCSV || e.begun {
		return nil
	}
	e.begun = true
	return table.Write(e.app.Stdout, [][]string{heads(e.columns)})
}

// Write writes an entry; row writes it where the output is a table.
func (e *Entries) Write(entry proto.Message, row func(io.Writer)) error {
	switch e.app.Output {
	case OutputJSON:
		return writeJSON(e.app.Stdout, entry, false)
	case OutputCSV:
		if err := e.Begin(); err != nil {
			return err
		}
		return table.Write(e.app.Stdout, [][]string{cells(e.columns, entry.ProtoReflect())})
	}
	row(e.app.Stdout)
	return nil
}

// writeJSON writes the message with every field, absent ones too, so that a
// program need not ask which are there. protojson varies its white space on
// purpose; it is laid out again so that equal messages give equal bytes.
// Without indent the message is one line.
func writeJSON(w io.Writer, message proto.Message, indent bool) error {
	raw, err := protojson.MarshalOptions{EmitUnpopulated: true, UseProtoNames: true}.Marshal(message)
	if err != nil {
		return fmt.Errorf("writing %s as JSON: %w", message.ProtoReflect().Descriptor().Name(), err)
	}
	var laidOut bytes.Buffer
	if indent {
		err = json.Indent(&laidOut, raw, "", "  ")
	} else {
		err = json.Compact(&laidOut, raw)
	}
	if err != nil {
		return fmt.Errorf("laying out JSON: %w", err)
	}
	laidOut.WriteByte('\n')
	_, err = w.Write(laidOut.Bytes())
	return err
}

// Line writes a message on a line of its own, as JSON.
func (a *App) Line(m proto.Message) error { return writeJSON(a.Stdout, m, false) }

// WriteLine writes a message on a line of its own, as JSON, to a file.
func WriteLine(w io.Writer, m proto.Message) error { return writeJSON(w, m, false) }

func encodeJSON(w io.Writer, value any) error {
	encoder := json.NewEncoder(w)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	return encoder.Encode(value)
}
