package wire

import (
	"bytes"
	"encoding/json"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
)

// JSONForm is how messages of the contract are written as JSON: with their names there, and
// every field but messages that are absent, so that a program sees what there is.
var JSONForm = protojson.MarshalOptions{UseProtoNames: true, EmitDefaultValues: true}

// JSON writes a message without blanks, which the library puts in or leaves out as it likes.
func JSON(m proto.Message) ([]byte, error) {
	spaced, err := JSONForm.Marshal(m)
	if err != nil {
		return nil, err
	}
	return Compacted(spaced)
}

// Compacted is JSON without its blanks.
func Compacted(spaced []byte) ([]byte, error) {
	var b bytes.Buffer
	err := json.Compact(&b, spaced)
	return b.Bytes(), err
}
