package server

import (
	"strings"

	"google.golang.org/grpc/encoding"
	_ "google.golang.org/grpc/encoding/proto" // the codec that is mended here
	"google.golang.org/grpc/mem"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"

	"gauged/internal/gauge"
)

// unread is the number of the field, which no message of the contract has, with why a
// request could not be read.
const unread = protowire.MaxValidNumber

// readable reads requests so that one that cannot be read, as with a text that is not UTF-8,
// comes as far as where requests are refused: gRPC itself would call that a fault of the
// daemon, and ask nobody.
type readable struct{ encoding.CodecV2 }

func codec() readable { return readable{encoding.GetCodecV2("proto")} }

// Unmarshal reads a message, and never fails for a message of the contract.
func (c readable) Unmarshal(data mem.BufferSlice, into any) error {
	err := c.CodecV2.Unmarshal(data, into)
	m, ok := into.(proto.Message)
	if err == nil || !ok {
		return err
	}
	proto.Reset(m)
	m.ProtoReflect().SetUnknown(protowire.AppendString(protowire.AppendTag(nil, unread, protowire.BytesType), err.Error()))
	return nil
}

// wasRead refuses a request that could not be read.
func wasRead(m proto.Message) error {
	number, _, n := protowire.ConsumeTag(m.ProtoReflect().GetUnknown())
	if n < 0 || number != unread {
		return nil
	}
	why, _ := protowire.ConsumeString(m.ProtoReflect().GetUnknown()[n:])
	return gauge.WrongInput("refusal.request.unreadable", gauge.Text("what", strings.TrimSpace(strings.TrimPrefix(why, "proto:"))))
}
