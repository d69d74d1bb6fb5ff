package app

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
)

// The forms of output.
const (
	OutputTable = "table"
	OutputJSON  = "json"
)

// WithoutJSON annotates a command that has no JSON; it says why.
const WithoutJSON = "without JSON"

// Talks is why a command that leads a person, or tells one what happens, has no JSON.
var Talks = map[string]string{WithoutJSON: "what it says is for a person"}

// Show writes an answer of the daemon: as JSON the message itself, else what
// table makes of it.
func (a *App) Show(answer proto.Message, table func(io.Writer)) error {
	if a.Output == OutputJSON {
		return WriteJSON(a.Stdout, answer, true)
	}
	table(a.Stdout)
	return nil
}

// WriteJSON writes the message with every field, absent ones too, so that a
// program need not ask which are there. protojson varies its white space on
// purpose; it is laid out again so that equal messages give equal bytes.
// Without indent the message is one line.
func WriteJSON(w io.Writer, message proto.Message, indent bool) error {
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
