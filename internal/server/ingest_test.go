package server

import (
	"context"
	"errors"
	"io"
	"slices"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/types/known/timestamppb"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/wire"
)

// open begins a stream of a sender and returns where it goes on.
func (r *rig) open(ctx context.Context, source string) (stream gaugedv1.GaugeService_IngestReadingsClient, through uint64) {
	r.t.Helper()
	stream, err := r.gauges.IngestReadings(ctx)
	if err != nil {
		r.t.Fatal(err)
	}
	send(r.t, stream, &gaugedv1.IngestReadingsRequest{Source: source})
	return stream, acknowledged(r.t, stream).GetDurableThroughSeq()
}

func send(t testing.TB, stream gaugedv1.GaugeService_IngestReadingsClient, m *gaugedv1.IngestReadingsRequest) {
	t.Helper()
	if err := stream.Send(m); err != nil {
		t.Fatal(err)
	}
}

func acknowledged(t testing.TB, stream gaugedv1.GaugeService_IngestReadingsClient) *gaugedv1.IngestReadingsResponse {
	t.Helper()
	answer, err := stream.Recv()
	if err != nil {
		t.Fatal(err)
	}
	return answer
}

// given are readings first to last of the gauge "sent".
func given(first, last int) []*gaugedv1.IngestedReading {
	var readings []*gaugedv1.IngestedReading
	for i := first; i <= last; i++ {
		readings = append(readings, &gaugedv1.IngestedReading{SourceSeq: uint64(i), GaugeId: "sent", Shown: numbered(i), Unit: mm})
	}
	return readings
}

func TestIngestAcknowledgesWhatIsDurable(t *testing.T) {
	r := newRig(t)
	stream, through := r.open(t.Context(), "program")
	if through != 0 {
		t.Errorf("begins after %d, want 0", through)
	}
	send(t, stream, &gaugedv1.IngestReadingsRequest{Readings: given(1, 3)})
	if a := acknowledged(t, stream); a.GetDurableThroughSeq() != 3 || len(a.GetRefused()) != 0 {
		t.Errorf("acknowledgement = %v", a)
	}
	wantText(t, texts(t, r.Station, "sent"), "[0.001 0.002 0.003]")
	// Two messages that follow closely may share an acknowledgement.
	send(t, stream, &gaugedv1.IngestReadingsRequest{Source: "program", Readings: given(4, 5)})
	send(t, stream, &gaugedv1.IngestReadingsRequest{Readings: given(8, 9)})
	if err := stream.CloseSend(); err != nil {
		t.Fatal(err)
	}
	last := uint64(0)
	for {
		answer, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		last = answer.GetDurableThroughSeq()
	}
	if last != 9 {
		t.Errorf("acknowledged through %d, want 9", last)
	}
	wantText(t, texts(t, r.Station, "sent"), "[0.001 0.002 0.003 0.004 0.005 0.008 0.009]")
}

func TestIngestAgainAfterACutDoesNoHarm(t *testing.T) {
	r := newRig(t)
	ctx, cancel := context.WithCancel(t.Context())
	stream, _ := r.open(ctx, "program")
	send(t, stream, &gaugedv1.IngestReadingsRequest{Readings: given(1, 10)})
	acknowledged(t, stream)
	cancel()

	stream, through := r.open(t.Context(), "program")
	if through != 10 {
		t.Errorf("goes on after %d, want 10", through)
	}
	send(t, stream, &gaugedv1.IngestReadingsRequest{Readings: given(6, 15)})
	if a := acknowledged(t, stream); a.GetDurableThroughSeq() != 15 {
		t.Errorf("acknowledgement = %v", a)
	}
	var want []string
	for i := 1; i <= 15; i++ {
		want = append(want, numbered(i))
	}
	if got := texts(t, r.Station, "sent"); !slices.Equal(got, want) {
		t.Errorf("stored %v", got)
	}
	// Another sender has numbers of its own.
	if _, through := r.open(t.Context(), "other"); through != 0 {
		t.Errorf("the other sender goes on after %d, want 0", through)
	}
}

func TestRefusedReadingsAreKeptAsRejects(t *testing.T) {
	r := newRig(t)
	stream, _ := r.open(t.Context(), "program")
	send(t, stream, &gaugedv1.IngestReadingsRequest{Readings: []*gaugedv1.IngestedReading{
		{SourceSeq: 1, GaugeId: "none", Shown: "1.5", Unit: mm},
		{SourceSeq: 2, GaugeId: "line", Shown: "1.5", Unit: mm},
		{SourceSeq: 3, GaugeId: "sent", Shown: "1.5"},
		{SourceSeq: 4, GaugeId: "sent", Shown: "1,5", Unit: mm, Raw: []byte("1,5 mm")},
		{SourceSeq: 5, GaugeId: "sent", Shown: "1.5", Unit: mm},
		{SourceSeq: 6, GaugeId: "sent", Shown: "1.5", Unit: 77},
		{SourceSeq: 7, GaugeId: "sent", Shown: "0.35", Unit: gaugedv1.Unit_UNIT_DEGREE_CELSIUS},
		{SourceSeq: 8, GaugeId: "sent", Shown: "1.7", Unit: mm, Time: timestamppb.New(time.Date(2263, 1, 1, 0, 0, 0, 0, time.UTC))},
		{SourceSeq: 9, GaugeId: "sent", Shown: "1.8", Unit: mm, Time: timestamppb.New(time.Date(1969, 12, 31, 0, 0, 0, 0, time.UTC))},
		{SourceSeq: 10, GaugeId: "sent", Shown: "1.9", Unit: mm, Status: 9},
		{SourceSeq: 11, GaugeId: "sent", Shown: "2.0", Unit: mm},
	}})
	a := acknowledged(t, stream)
	want := []struct {
		seq                 uint64
		gauge, reason, text string
		raw                 string
	}{
		{1, "none", "unknown", `this station has no gauge "none" that is fed from outside`, "1.5"},
		{2, "line", "unknown", `this station has no gauge "line" that is fed from outside`, "1.5"},
		{3, "sent", "unit", "the reading has no unit; say which, such as mm or N m", "1.5"},
		{4, "sent", "number", `"1,5" is not a length: the decimal sign must be a point, not a comma`, "1,5 mm"},
		{6, "sent", "unit", "the unit 77 of reading 6 is not known", "1.5"},
		{7, "sent", "unit", "degC is the unit of a temperature; a gauge sends a length, a force, a torque or an angle", "0.35"},
		{8, "sent", "time", "the time of reading 8 is outside the years 1970 to 2262; leave it out for the time of arrival", "1.7"},
		{9, "sent", "time", "the time of reading 9 is outside the years 1970 to 2262; leave it out for the time of arrival", "1.8"},
		{10, "sent", "layout", "the status 9 of reading 10 is not known", "1.9"},
	}
	rejects, err := r.history.ListRejects(t.Context(), &gaugedv1.ListRejectsRequest{})
	if err != nil {
		t.Fatal(err)
	}
	if a.GetDurableThroughSeq() != 11 || len(a.GetRefused()) != len(want) || len(rejects.GetRejects()) != len(want) {
		t.Fatalf("acknowledged %v, rejects %v", a, rejects)
	}
	for i, w := range want {
		if got := a.GetRefused()[i]; got.GetSourceSeq() != w.seq || told(got.GetReason()) != w.text {
			t.Errorf("refused %v, want %d: %s", got, w.seq, w.text)
		}
		if got := rejects.GetRejects()[i]; got.GetGaugeId() != w.gauge || string(wire.FromRejectReason(got.GetReason())) != w.reason || told(got.GetDetail()) != w.text || string(got.GetRaw()) != w.raw {
			t.Errorf("reject %v, want %+v", got, w)
		}
	}
	if got := texts(t, r.Station, "sent"); !slices.Equal(got, []string{"1.5", "2.0"}) {
		t.Errorf("stored beside what was refused: %v", got)
	}
	if r.UnknownReadings() != 2 {
		t.Errorf("%d unknown readings, want 2", r.UnknownReadings())
	}
}

func TestIngestErrors(t *testing.T) {
	r := newRig(t)
	for _, c := range []struct {
		messages []*gaugedv1.IngestReadingsRequest
		text     string
	}{
		{
			[]*gaugedv1.IngestReadingsRequest{{Readings: given(1, 1)}},
			"the first message of the stream must say who sends: set source to a name that the sender keeps",
		},
		{[]*gaugedv1.IngestReadingsRequest{{Source: " "}}, "the first message of the stream must say who sends: set source to a name that the sender keeps"},
		{[]*gaugedv1.IngestReadingsRequest{{Source: "a"}, {Source: "b"}}, `the stream of "a" cannot go on as "b"; open one for each sender`},
		{[]*gaugedv1.IngestReadingsRequest{{Source: "c", Readings: given(0, 0)}}, "source_seq 0: number the readings of a sender 1 or more, rising, up to 4611686018427387904"},
		{[]*gaugedv1.IngestReadingsRequest{{Source: "d"}, {Readings: given(1, 4)}, {Readings: given(4, 5)}}, "source_seq 4 follows 4: the numbers of a stream must rise"},
	} {
		stream, err := r.gauges.IngestReadings(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range c.messages {
			if err := stream.Send(m); err != nil && !errors.Is(err, io.EOF) {
				t.Fatal(err)
			}
		}
		for err == nil {
			_, err = stream.Recv()
		}
		wantStatus(t, err, codes.InvalidArgument, c.text)
	}
	// What came before the mistake was taken.
	wantText(t, texts(t, r.Station, "sent"), "[0.001 0.002 0.003 0.004]")
}

func TestAnEmptyIngestIsNoError(t *testing.T) {
	r := newRig(t)
	stream, err := r.gauges.IngestReadings(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := stream.CloseSend(); err != nil {
		t.Fatal(err)
	}
	if _, err := stream.Recv(); !errors.Is(err, io.EOF) {
		t.Errorf("error = %v, want EOF", err)
	}
}

func TestANewerStreamOfASenderEndsTheOlder(t *testing.T) {
	r := newRig(t)
	older, _ := r.open(t.Context(), "program")
	newer, _ := r.open(t.Context(), "program")
	_, err := older.Recv()
	wantStatus(t, err, codes.Aborted, `another stream of the sender "program" took over; give each sender a name of its own`)
	send(t, newer, &gaugedv1.IngestReadingsRequest{Readings: given(1, 1)})
	if a := acknowledged(t, newer); a.GetDurableThroughSeq() != 1 {
		t.Errorf("acknowledgement = %v", a)
	}
}

// TestLongMessageIsStoredInParts: a message of many readings is stored and acknowledged a
// part after the other, so that nobody waits for all of it.
func TestLongMessageIsStoredInParts(t *testing.T) {
	r := newRig(t)
	stream, _ := r.open(t.Context(), "program")
	send(t, stream, &gaugedv1.IngestReadingsRequest{Readings: given(1, 3*mostAtOnce+1)})
	for _, want := range []uint64{mostAtOnce, 2 * mostAtOnce, 3 * mostAtOnce, 3*mostAtOnce + 1} {
		if got := acknowledged(t, stream).GetDurableThroughSeq(); got != want {
			t.Fatalf("acknowledged through %d, want %d", got, want)
		}
	}
}
