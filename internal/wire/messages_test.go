package wire

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"gauged/internal/gauge"

	gaugedv1 "gauged/api/gauged/v1"
)

// TestMessageIsReadBack: what a message says is the same after the contract, and each
// kind of argument of the contract is made of one of ours.
func TestMessageIsReadBack(t *testing.T) {
	m := gauge.Say("finding.example",
		gauge.Text("part", "S-12"), gauge.Shown("gap", "0.120", gauge.Millimetre), gauge.Shown("ratio", "1.5", gauge.UnitUnknown), gauge.Count("pieces", 0),
		gauge.Chance("inside", 9753), gauge.Word("aim", "aim.middle"), gauge.Texts("names", []string{"a", "b"}),
		gauge.Nested("because", gauge.Say("why.example", gauge.Count("rows", 2))),
		gauge.Moment("since", time.Date(2026, 3, 1, 8, 0, 0, 5, time.UTC)), gauge.Span("waited", 90*time.Second))
	kinds := map[protoreflect.Name]bool{}
	for _, said := range []gauge.Message{m, gauge.Plain("as it was stored"), {}} {
		sent, err := proto.Marshal(Message(said))
		if err != nil {
			t.Fatal(err)
		}
		var came gaugedv1.Message
		if err := proto.Unmarshal(sent, &came); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(said, FromMessage(&came)); diff != "" {
			t.Error(diff)
		}
		for _, a := range came.GetArguments() {
			kinds[a.ProtoReflect().WhichOneof(a.ProtoReflect().Descriptor().Oneofs().Get(0)).Name()] = true
		}
	}
	all := (&gaugedv1.Argument{}).ProtoReflect().Descriptor().Oneofs().Get(0).Fields()
	for i := range all.Len() {
		if name := all.Get(i).Name(); !kinds[name] {
			t.Errorf("no argument of ours becomes %s", name)
		}
	}
}

func TestTextThatIsNoUTF8IsSent(t *testing.T) {
	if got := Message(gauge.Plain("a\xff")).GetArguments()[0].GetText(); got != "a?" {
		t.Errorf("%q", got)
	}
}
