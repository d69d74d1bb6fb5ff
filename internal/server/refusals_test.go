package server

import (
	"context"
	"io"
	"os"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/dynamicpb"

	"gauged/internal/wire"
	"gauged/internal/words"
)

// reasons are the reasons that an error of the daemon can have, with their codes.
var reasons = func() map[string]string {
	c, err := words.Load()
	if err != nil {
		panic(err)
	}
	all := map[string]string{}
	for _, key := range c.Keys() {
		if strings.HasPrefix(key, "refusal.") {
			all[wire.Reason(key)] = key
		}
	}
	return all
}()

// toldBy checks that an error says its code: an ErrorInfo with a reason of the catalogue,
// and, where it fits, the message whose sentence is the text of the status.
func toldBy(t testing.TB, what string, err error) {
	t.Helper()
	st := status.Convert(err)
	if st.Code() == codes.Canceled || st.Code() == codes.DeadlineExceeded {
		return // nothing was refused
	}
	var info *errdetails.ErrorInfo
	for _, d := range st.Details() {
		if i, ok := d.(*errdetails.ErrorInfo); ok {
			info = i
		}
	}
	code := reasons[info.GetReason()]
	if code == "" || info.GetDomain() != wire.Domain {
		t.Errorf("%s: %v has the reason %q of %q", what, err, info.GetReason(), info.GetDomain())
		return
	}
	if want := publishedStatus(info.GetReason()); want != "" && !slices.Contains(strings.Split(want, ", "), constantCase(st.Code())) {
		t.Errorf("%s: %v has the status %v, and docs/refusals.md says %s", what, err, st.Code(), want)
	}
	if m, ok := wire.RefusalOf(st); ok && (m.Code != code && m.Code != "because.within" || !strings.HasPrefix(words.In(words.English).Tell(m), strings.TrimSuffix(st.Message(), " ..."))) {
		t.Errorf("%s: the message is %v, the status says %q", what, m, st.Message())
	}
}

// pageOfRefusals is the page with a row for each reason.
var pageOfRefusals = sync.OnceValue(func() string {
	content, err := os.ReadFile("../../docs/refusals.md")
	if err != nil {
		panic(err)
	}
	return string(content)
})

// publishedStatus is the status that the page gives for a reason; nothing where it is that
// of another refusal.
func publishedStatus(reason string) string {
	m := regexp.MustCompile("(?m)^\\| `" + reason + "` \\| ([^|]*) \\|").FindStringSubmatch(pageOfRefusals())
	switch {
	case m == nil:
		return "none: there is no such reason"
	case strings.HasPrefix(m[1], "of "):
		return ""
	}
	return m[1]
}

// constantCase writes a code as the protocol does: FAILED_PRECONDITION.
func constantCase(c codes.Code) string {
	return strings.ToUpper(regexp.MustCompile(`([a-z])([A-Z])`).ReplaceAllString(c.String(), "${1}_${2}"))
}

// TestReasonsAreDifferent: no two codes have one reason.
func TestReasonsAreDifferent(t *testing.T) {
	c, err := words.Load()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, key := range c.Keys() {
		if strings.HasPrefix(key, "refusal.") {
			n++
			if reason := wire.Reason(key); reasons[reason] != key || len(reason) > 63 {
				t.Errorf("%s and %s have the reason %s", key, reasons[reason], reason)
			}
		}
	}
	if n < 100 {
		t.Errorf("only %d codes", n)
	}
}

// TestEveryCallRefusesWithACode: each call of the contract, asked for nothing and asked for
// what there is not, answers with a code where it refuses.
func TestEveryCallRefusesWithACode(t *testing.T) {
	r := newRig(t)
	refused := 0
	for _, m := range methods() {
		for _, filled := range []bool{false, true} {
			request := dynamicpb.NewMessage(m.Input())
			if filled {
				fill99(request, 0)
			}
			if err := call(t, r, m, request); err != nil {
				toldBy(t, string(m.FullName()), err)
				refused++
			}
		}
	}
	if refused < 40 {
		t.Errorf("only %d calls were refused", refused)
	}
}

// call makes a call and reads its answer to the end, or to the third message.
func call(t *testing.T, r *rig, m protoreflect.MethodDescriptor, request proto.Message) error {
	t.Helper()
	path := "/" + string(m.Parent().FullName()) + "/" + string(m.Name())
	if !m.IsStreamingServer() && !m.IsStreamingClient() {
		return r.conn.Invoke(t.Context(), path, request, dynamicpb.NewMessage(m.Output()))
	}
	ctx, cancel := context.WithTimeout(t.Context(), time.Second)
	defer cancel()
	stream, err := r.conn.NewStream(ctx, &grpc.StreamDesc{ServerStreams: m.IsStreamingServer(), ClientStreams: m.IsStreamingClient()}, path)
	if err != nil {
		return err
	}
	if err := stream.SendMsg(request); err != nil {
		return err
	}
	if err := stream.CloseSend(); err != nil {
		return err
	}
	for range 3 {
		err := stream.RecvMsg(dynamicpb.NewMessage(m.Output()))
		switch {
		case err == io.EOF, ctx.Err() != nil: // a watch goes on until it is left
			return nil
		case err != nil:
			return err
		}
	}
	return nil
}

// fill99 sets every field of a message to what there is not: x, 99, one entry of a list.
func fill99(m protoreflect.Message, depth int) {
	fields := m.Descriptor().Fields()
	for i := range fields.Len() {
		f := fields.Get(i)
		switch {
		case f.IsMap(), f.ContainingOneof() != nil && f.ContainingOneof().Fields().Get(0) != f, depth > 3:
		case f.IsList() && f.Message() != nil:
			fill99(m.Mutable(f).List().AppendMutable().Message(), depth+1)
		case f.IsList():
			m.Mutable(f).List().Append(value99(f))
		case f.Message() != nil:
			if !strings.HasPrefix(string(f.Message().FullName()), "google.") {
				fill99(m.Mutable(f).Message(), depth+1)
			}
		default:
			m.Set(f, value99(f))
		}
	}
}

func value99(f protoreflect.FieldDescriptor) protoreflect.Value {
	switch f.Kind() {
	case protoreflect.StringKind:
		return protoreflect.ValueOfString("x")
	case protoreflect.BytesKind:
		return protoreflect.ValueOfBytes([]byte("x"))
	case protoreflect.BoolKind:
		return protoreflect.ValueOfBool(true)
	case protoreflect.EnumKind:
		return protoreflect.ValueOfEnum(1)
	case protoreflect.DoubleKind:
		return protoreflect.ValueOfFloat64(99)
	case protoreflect.Uint32Kind:
		return protoreflect.ValueOfUint32(99)
	case protoreflect.Int64Kind, protoreflect.Sint64Kind:
		return protoreflect.ValueOfInt64(99)
	case protoreflect.Int32Kind:
		return protoreflect.ValueOfInt32(99)
	default:
		return protoreflect.ValueOfUint64(99)
	}
}
