package app

import (
	"context"
	"slices"
	"strings"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// A line end or a tab in a serial number would forge a row of a table. In the answers
// that a table or CSV is made of they are shown as Go writes them; JSON keeps them.

// longTexts are fields with texts of files, which may have several lines.
var longTexts = []protoreflect.Name{"how", "cautions", "content", "figures"}

// cleaning makes the answers of calls fit for a table.
func cleaning(ctx context.Context, method string, request, answer any, cc *grpc.ClientConn, invoke grpc.UnaryInvoker, opts ...grpc.CallOption) error {
	err := invoke(ctx, method, request, answer, cc, opts...)
	if m, ok := answer.(proto.Message); ok && err == nil {
		clean(m.ProtoReflect())
	}
	return err
}

// cleaningStream does so for each message of a stream.
func cleaningStream(ctx context.Context, desc *grpc.StreamDesc, cc *grpc.ClientConn, method string, open grpc.Streamer, opts ...grpc.CallOption) (grpc.ClientStream, error) {
	stream, err := open(ctx, desc, cc, method, opts...)
	return cleanStream{stream}, err
}

type cleanStream struct{ grpc.ClientStream }

func (s cleanStream) RecvMsg(m any) error {
	err := s.ClientStream.RecvMsg(m)
	if m, ok := m.(proto.Message); ok && err == nil {
		clean(m.ProtoReflect())
	}
	return err
}

// clean shows the line ends and tabs in all texts of a message that have one line.
func clean(m protoreflect.Message) {
	m.Range(func(f protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		switch {
		case f.IsMap():
			v.Map().Range(func(k protoreflect.MapKey, one protoreflect.Value) bool {
				switch f.MapValue().Kind() {
				case protoreflect.MessageKind:
					clean(one.Message())
				case protoreflect.StringKind:
					v.Map().Set(k, protoreflect.ValueOfString(oneLine(one.String())))
				}
				return true
			})
		case f.Kind() == protoreflect.MessageKind && f.IsList():
			for i := range v.List().Len() {
				clean(v.List().Get(i).Message())
			}
		case f.Kind() == protoreflect.MessageKind:
			clean(v.Message())
		case f.Kind() != protoreflect.StringKind || slices.Contains(longTexts, f.Name()):
		case f.IsList():
			for i := range v.List().Len() {
				v.List().Set(i, protoreflect.ValueOfString(oneLine(v.List().Get(i).String())))
			}
		default:
			m.Set(f, protoreflect.ValueOfString(oneLine(v.String())))
		}
		return true
	})
}

var lineEnds = strings.NewReplacer("\n", `\n`, "\t", `\t`, "\r", `\r`)

func oneLine(text string) string { return lineEnds.Replace(text) }
