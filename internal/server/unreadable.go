package server

import (
	"strings"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/encoding"
	_ "google.golang.org/grpc/encoding/proto" // the codec that is mended here
	"google.golang.org/grpc/mem"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"gauged/internal/gauge"
)

// A request that was not read has the reason in a field with a number that no message of the
// contract has: that it cannot be, is too large, has too many
// entries in a list, or that too many long ones are worked on.
const (
	unread   = protowire.MaxValidNumber - iota // with a text
	tooLarge                                   // with its size
	tooMany                                    // with their count and the list's name
	noPlace
)

// readable reads requests so that one that cannot be read, as with a text that is not UTF-8,
// comes as far as where requests are refused: gRPC itself would call that a fault of the
// daemon, and ask nobody. What is too large, or has too many entries in a list, is not
// decoded: a message of 4 MB can say two million things.
type readable struct {
	encoding.CodecV2
	long *longMessages
}

func codec() readable { return readable{encoding.GetCodecV2("proto"), newLongMessages()} }

// pooledFrom is from how many bytes on a message is written to a buffer of the library's. Its
// next smaller ones have 4 and 16 kB, so that many short messages which wait for somebody who
// does not read would take four times what they have.
const pooledFrom = 16 << 10

// Marshal writes a message.
func (c readable) Marshal(v any) (mem.BufferSlice, error) {
	if m, ok := v.(proto.Message); ok && proto.Size(m) < pooledFrom {
		data, err := proto.Marshal(m)
		return mem.BufferSlice{mem.SliceBuffer(data)}, err
	}
	return c.CodecV2.Marshal(v)
}

// Unmarshal reads a message, and never fails for a message of the contract. A long one that
// has no place yet waits for one.
func (c readable) Unmarshal(data mem.BufferSlice, into any) error {
	at, held := into.(*place)
	if held {
		into = at.into
	}
	m, ok := into.(proto.Message)
	if !ok {
		return c.CodecV2.Unmarshal(data, into)
	}
	if data.Len() > maxMessage {
		return refuse(m, tooLarge, protowire.AppendVarint(nil, uint64(data.Len())))
	}
	whole := data.MaterializeToBuffer(mem.DefaultBufferPool())
	defer whole.Free()
	if list, n := crowded(whole.ReadOnlyData(), m.ProtoReflect().Descriptor()); list != "" {
		return refuse(m, tooMany, append(protowire.AppendVarint(nil, uint64(n)), list...))
	}
	if held && data.Len() > shortMessage && !at.take(c.long) {
		return refuse(m, noPlace, nil)
	}
	data = mem.BufferSlice{whole}
	if err := c.CodecV2.Unmarshal(data, into); err != nil {
		return refuse(m, unread, []byte(err.Error()))
	}
	return nil
}

// refuse leaves nothing in a message but why it was not read.
func refuse(m proto.Message, why protowire.Number, what []byte) error {
	proto.Reset(m)
	m.ProtoReflect().SetUnknown(protowire.AppendBytes(protowire.AppendTag(nil, why, protowire.BytesType), what))
	return nil
}

// wasRead refuses a request that was not read.
func wasRead(m proto.Message) error {
	number, _, n := protowire.ConsumeTag(m.ProtoReflect().GetUnknown())
	if n < 0 || number < noPlace {
		return nil
	}
	what, _ := protowire.ConsumeBytes(m.ProtoReflect().GetUnknown()[n:])
	size, n := protowire.ConsumeVarint(what)
	switch {
	case number == noPlace:
		return refused(codes.ResourceExhausted, gauge.Say("refusal.request.too-many-long"))
	case number == tooLarge && n > 0:
		return refused(codes.ResourceExhausted, gauge.Say("refusal.request.too-large", gauge.Count("size", size), gauge.Count("most", maxMessage)))
	case number == tooMany && n > 0:
		list := protoreflect.FullName(what[n:])
		return gauge.WrongInput("refusal.request.too-many", gauge.Count("count", size), gauge.Text("field", string(list.Name())), gauge.Count("most", mostOf[list]))
	}
	return gauge.WrongInput("refusal.request.unreadable", gauge.Text("what", strings.TrimSpace(strings.TrimPrefix(string(what), "proto:"))))
}
