package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"text/tabwriter"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
)

// The forms of output.
const (
	outputTable = "table"
	outputJSON  = "json"
)

// withoutJSON annotates a command that has no JSON; it says why.
const withoutJSON = "without JSON"

// talks is why a command that leads a person, or tells one what happens, has no JSON.
var talks = map[string]string{withoutJSON: "what it says is for a person"}

// show writes an answer of the daemon: as JSON the message itself, else what
// table makes of it.
func (a *app) show(answer proto.Message, table func(io.Writer)) error {
	if a.output == outputJSON {
		return writeJSON(a.stdout, answer, true)
	}
	table(a.stdout)
	return nil
}

// writeJSON writes the message with every field, absent ones too, so that a
// program need not ask which are there. protojson varies its white space on
// purpose; it is laid out again so that equal messages give equal bytes.
// Without indent the message is one line.
func writeJSON(w io.Writer, message proto.Message, indent bool) error {
	raw, err := protojson.MarshalOptions{EmitUnpopulated: true}.Marshal(message)
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

// columns writes aligned rows, each cell ended by a tab. Empty cells at the end
// of a row leave no blanks.
func columns(w io.Writer, rows func(tab io.Writer)) {
	var aligned bytes.Buffer
	tab := tabwriter.NewWriter(&aligned, 0, 0, 2, ' ', 0)
	rows(tab)
	_ = tab.Flush() // a bytes.Buffer takes everything
	for line := range bytes.Lines(aligned.Bytes()) {
		fmt.Fprintf(w, "%s\n", bytes.TrimRight(line, " \n"))
	}
}
