package server

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/mem"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"
	"google.golang.org/protobuf/types/dynamicpb"

	gaugedv1 "gauged/api/gauged/v1"
)

// methods are all calls of the contract.
func methods() (all []protoreflect.MethodDescriptor) {
	protoregistry.GlobalFiles.RangeFilesByPackage("gauged.v1", func(file protoreflect.FileDescriptor) bool {
		for i := range file.Services().Len() {
			service := file.Services().Get(i)
			for k := range service.Methods().Len() {
				all = append(all, service.Methods().Get(k))
			}
		}
		return true
	})
	return all
}

// listsOf calls found with the way to each list of a message, at any depth.
func listsOf(d protoreflect.MessageDescriptor, way []protoreflect.FieldDescriptor, found func(way []protoreflect.FieldDescriptor)) {
	for i := range d.Fields().Len() {
		f := d.Fields().Get(i)
		way := append(slices.Clone(way), f)
		if f.Cardinality() == protoreflect.Repeated {
			found(way)
		}
		if f.Message() != nil && !f.IsMap() {
			listsOf(f.Message(), way, found)
		}
	}
}

// TestEveryListOfARequestIsBounded walks every call of the contract: each list that its
// request can have has a greatest length, and one entry more is refused with both
// numbers.
func TestEveryListOfARequestIsBounded(t *testing.T) {
	unseen := maps.Clone(mostOf)
	for _, m := range methods() {
		listsOf(m.Input(), nil, func(way []protoreflect.FieldDescriptor) {
			list := way[len(way)-1]
			delete(unseen, list.FullName())
			most, ok := mostOf[list.FullName()]
			if !ok || most <= 0 {
				t.Errorf("%s: %s has no greatest length", m.FullName(), list.FullName())
				return
			}
			want := fmt.Sprintf("there are %d %s, and one call takes at most %d: nothing was done of it; send fewer at a time", most+1, list.Name(), most)
			wantStatus(t, statusOf(requested(asRead(t, withEntries(m.Input(), way, most+1)))).Err(), codes.InvalidArgument, want)
			if err := requested(asRead(t, withEntries(m.Input(), way, most))); err != nil {
				t.Errorf("%s: %v", list.FullName(), err)
			}
		})
	}
	if len(unseen) > 0 {
		t.Errorf("no request has these lists: %v", unseen)
	}
}

// asRead is a request as it is read.
func asRead(t *testing.T, request proto.Message) proto.Message {
	t.Helper()
	wire, err := proto.Marshal(request)
	if err != nil {
		t.Fatal(err)
	}
	read := request.ProtoReflect().New().Interface()
	if err := codec().Unmarshal(mem.BufferSlice{mem.SliceBuffer(wire)}, read); err != nil {
		t.Fatal(err)
	}
	return read
}

// withEntries is a request with so many entries in the list at the end of a way.
func withEntries(d protoreflect.MessageDescriptor, way []protoreflect.FieldDescriptor, n int) proto.Message {
	whole := dynamicpb.NewMessage(d)
	at := protoreflect.Message(whole)
	for _, f := range way[:len(way)-1] {
		if f.IsList() {
			at = at.Mutable(f).List().AppendMutable().Message()
		} else {
			at = at.Mutable(f).Message()
		}
	}
	for i, f := 0, way[len(way)-1]; i < n; i++ {
		switch {
		case f.IsMap():
			at.Mutable(f).Map().Set(protoreflect.ValueOfString(fmt.Sprint(i)).MapKey(), protoreflect.ValueOfString(""))
		default:
			at.Mutable(f).List().Append(at.Mutable(f).List().NewElement())
		}
	}
	return whole
}

// TestTooManyReadingsOfACheck: nothing is stored of a check with more readings than one
// call takes, whether in one point or in several.
func TestTooManyReadingsOfACheck(t *testing.T) {
	r := newRig(t)
	c := gaugedv1.NewHealthServiceClient(r.conn)
	begun, err := c.BeginCheck(t.Context(), &gaugedv1.BeginCheckRequest{GaugeId: "micrometer", By: "quality", MasterIds: []string{"zero"}})
	if err != nil {
		t.Fatal(err)
	}
	before := r.Newest()
	typed := make([]*gaugedv1.TypedReading, 50_000)
	for i := range typed {
		typed[i] = &gaugedv1.TypedReading{Shown: "0.001", Unit: mm}
	}
	_, err = c.RecordCheck(t.Context(), &gaugedv1.RecordCheckRequest{
		GaugeId: "micrometer", By: "quality", BegunSeq: begun.GetBegunSeq(),
		Found: []*gaugedv1.CheckPoint{{MasterId: "zero", Typed: typed}}, Left: []*gaugedv1.CheckPoint{{MasterId: "zero", Typed: typed}},
	})
	wantStatus(t, err, codes.InvalidArgument, "there are 100000 typed, and one call takes at most 2000: nothing was done of it; send fewer at a time")
	if r.Newest() != before {
		t.Error("something was stored")
	}
}

// TestTooManyInAStream: a stream is held to the same, with what came before stored.
func TestTooManyInAStream(t *testing.T) {
	r := newRig(t)
	stream, _ := r.open(t.Context(), "program")
	send(t, stream, &gaugedv1.IngestReadingsRequest{Readings: given(1, 1)})
	acknowledged(t, stream)
	send(t, stream, &gaugedv1.IngestReadingsRequest{Readings: given(2, 20_002)})
	_, err := stream.Recv()
	wantStatus(t, err, codes.InvalidArgument, "there are 20001 readings, and one call takes at most 20000: nothing was done of it; send fewer at a time")
	wantText(t, texts(t, r.Station, "sent"), "[0.001]")
}

// TestTooLargeARequest: nobody reads the text of gRPC about sizes.
func TestTooLargeARequest(t *testing.T) {
	r := newRig(t)
	_, err := r.jobs.StartJob(t.Context(), &gaugedv1.StartJobRequest{UnitSerial: strings.Repeat("x", 5<<20)})
	if s := status.Convert(err); s.Code() != codes.ResourceExhausted || !strings.Contains(s.Message(), "one call takes at most 4194304: nothing was done of it") {
		t.Error(err)
	}
}

// TestAnswersFitIntoAMessage: what a list cannot hold is on its next page, and what
// cannot be cut is refused in words that say so.
func TestAnswersFitIntoAMessage(t *testing.T) {
	for _, m := range methods() {
		if !strings.HasPrefix(string(m.Name()), "List") {
			continue
		}
		for _, name := range []protoreflect.Name{"page_size", "page_token"} {
			if m.Input().Fields().ByName(name) == nil {
				t.Errorf("%s has no %s", m.FullName(), name)
			}
		}
		if m.Output().Fields().ByName("next_page_token") == nil {
			t.Errorf("%s has no pages", m.FullName())
		}
	}
	long := make([]string, 100)
	for i := range long {
		long[i] = strings.Repeat("x", 100_000)
	}
	entry := func(text string) *gaugedv1.FileVersion { return &gaugedv1.FileVersion{Id: text} }
	page, next := fill(long, paging{limit: 100}, entry, func(string) int { return 7 })
	answer := &gaugedv1.ReloadProceduresResponse{Changed: page}
	if len(page) != 41 || next != (paging{}).token("7") || answered(answer) != nil {
		t.Errorf("%d entries, next %s, %v", len(page), next, answered(answer))
	}
	answer.Changed = append(answer.Changed, entry(long[0]), entry(long[0]))
	if s := status.Convert(answered(answer)); s.Code() != codes.ResourceExhausted || !strings.Contains(s.Message(), "a message holds at most 4194304: ask for less at a time") {
		t.Error(s.Message())
	}
}
