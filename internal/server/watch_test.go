package server

import (
	"context"
	"slices"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	"gauged/internal/gauge"
	"gauged/internal/station"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// watch opens a watch and reads its first message.
func (r *rig) watch(ctx context.Context, request *gaugedv1.WatchReadingsRequest) (stream gaugedv1.GaugeService_WatchReadingsClient, after uint64) {
	r.t.Helper()
	stream, err := gaugedv1.NewGaugeServiceClient(dial(r.t, r.socket)).WatchReadings(ctx, request)
	if err != nil {
		r.t.Fatal(err)
	}
	first, err := stream.Recv()
	if err != nil {
		r.t.Fatal(err)
	}
	if first.GetStart() == nil {
		r.t.Fatalf("first message = %v, want the start", first)
	}
	return stream, first.GetStart().GetAfterSeq()
}

// fill ingests so many readings of the gauge "sent" and returns their digits.
func (r *rig) fill(source string, n int) []string {
	r.t.Helper()
	if _, err := r.Resume(r.t.Context(), source); err != nil {
		r.t.Fatal(err)
	}
	shown := make([]string, n)
	readings := make([]station.Ingested, n)
	for i := range n {
		shown[i] = numbered(i)
		readings[i] = station.Ingested{SourceSeq: uint64(i + 1), Gauge: "sent", Shown: shown[i], Unit: gauge.Millimetre, Status: gauge.StatusOK}
	}
	for part := range slices.Chunk(readings, 1000) {
		if receipt, err := r.Ingest(r.t.Context(), source, part); err != nil || len(receipt.Refused) > 0 {
			r.t.Fatal(receipt.Refused, err)
		}
	}
	return shown
}

func TestListGauges(t *testing.T) {
	r := newRig(t)
	r.report("button", "1.25")
	answer, err := r.gauges.ListGauges(t.Context(), &gaugedv1.ListGaugesRequest{})
	if err != nil {
		t.Fatal(err)
	}
	ids := []string{}
	for _, g := range answer.GetGauges() {
		ids = append(ids, g.GetId()+":"+string(wire.FromMode(g.GetMode())))
	}
	wantText(t, ids, "[button:button line:stream sent:outside pressed:outside micrometer:typed]")
	if g := answer.GetGauges()[0]; g.GetLastReading().GetValue().GetText() != "1.25" || g.GetReadingCount() != 1 || g.GetResolution().GetText() != "0.01" {
		t.Errorf("gauge = %v", g)
	}
}

func TestWatchSendsReadingsAndStatesOfTheChosenGauges(t *testing.T) {
	r := newRig(t)
	r.report("line", "1.0")
	stream, after := r.watch(t.Context(), &gaugedv1.WatchReadingsRequest{GaugeIds: []string{"line"}})
	if after != r.Newest() {
		t.Errorf("begins after %d, want %d", after, r.Newest())
	}
	r.report("button", "2.0")
	r.Report(station.Report{State: &gauge.StateChange{Gauge: "line", Time: time.Now(), State: gauge.StateLive}})
	r.report("line", "3.0")
	state, err := stream.Recv()
	if err != nil {
		t.Fatal(err)
	}
	if s := state.GetState(); s.GetGaugeId() != "line" || s.GetState() != gaugedv1.GaugeState_GAUGE_STATE_LIVE || s.GetSeq() != after+2 {
		t.Errorf("first event = %v, want line live as entry %d", state, after+2)
	}
	event, err := stream.Recv()
	if err != nil {
		t.Fatal(err)
	}
	if m := event.GetReading(); m.GetValue().GetText() != "3.0" || m.GetSeq() != after+3 || m.GetNumber() != 2 {
		t.Errorf("second event = %v, want 3.0 as entry %d", event, after+3)
	}
}

func TestWatchErrors(t *testing.T) {
	r := newRig(t)
	for _, c := range []struct {
		request *gaugedv1.WatchReadingsRequest
		code    codes.Code
		text    string
	}{
		{&gaugedv1.WatchReadingsRequest{GaugeIds: []string{"lime"}}, codes.NotFound, `there is no gauge "lime": did you mean line? There are button, line, micrometer, pressed, sent`},
		{&gaugedv1.WatchReadingsRequest{AfterSeq: proto.Uint64(99)}, codes.OutOfRange, "entry 99 is of another history than this one, which ends at entry 3: it was restored from a copy, or replaced; watch again without a number"},
	} {
		stream, err := r.gauges.WatchReadings(t.Context(), c.request)
		if err != nil {
			t.Fatal(err)
		}
		_, err = stream.Recv()
		wantStatus(t, err, c.code, c.text)
	}
}

func TestWatchGoesOnAfterABreak(t *testing.T) {
	r := newRig(t)
	begin := r.Newest()
	want := make(chan []string, 1)
	go func() { want <- r.fill("program", 5000) }()
	var got []string
	after := begin
	for breaks := 0; len(got) < 5000; breaks++ {
		ctx, cancel := context.WithCancel(t.Context())
		stream, began := r.watch(ctx, &gaugedv1.WatchReadingsRequest{GaugeIds: []string{"sent"}, AfterSeq: &after})
		if began != after {
			t.Fatalf("begins after %d, want %d", began, after)
		}
		for n := 0; n < 200+37*breaks && len(got) < 5000; n++ {
			event, err := stream.Recv()
			if err != nil {
				t.Fatal(err)
			}
			if m := event.GetReading(); m != nil {
				got, after = append(got, m.GetValue().GetText()), m.GetSeq()
			}
		}
		cancel()
	}
	if wanted := <-want; !slices.Equal(got, wanted) {
		t.Error("the parts of the watch do not add up to what was stored")
	}
}

// manyReadings is more than memory and every buffer on the way hold.
const manyReadings = 25_000

func TestSlowWatchersHoldUpNobodyAndLoseNothing(t *testing.T) {
	r := newRig(t)
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	slow, began := r.watch(ctx, &gaugedv1.WatchReadingsRequest{})
	skipping, _ := r.watch(ctx, &gaugedv1.WatchReadingsRequest{SkipWhenBehind: true})
	quick, _ := r.watch(ctx, &gaugedv1.WatchReadingsRequest{})

	stored := make(chan []string, 1)
	go func() { stored <- r.fill("program", manyReadings) }()
	for n := 0; n < manyReadings; {
		event, err := quick.Recv()
		if err != nil {
			t.Fatal(err)
		}
		if event.GetReading() != nil {
			n++
		}
	}
	<-stored // all this while nobody has read from the slow ones
	newest, lags := r.Newest(), 0
	for next := began + 1; next <= newest; next++ {
		event, err := slow.Recv()
		if err != nil {
			t.Fatal(err)
		}
		if lag := event.GetLag(); lag != nil {
			if lag.GetAfterSeq() != next-1 || lag.GetNewestSeq() <= next+8000 {
				t.Fatalf("before entry %d of %d comes %v", next, newest, lag)
			}
			lags++
			next--
			continue
		}
		if seq := max(event.GetReading().GetSeq(), event.GetState().GetSeq()); seq != next {
			t.Fatalf("the slow watcher got %v, want entry %d", event, next)
		}
	}
	if lags == 0 {
		t.Error("the slow watcher was never told that it lags")
	}
	gaps := 0
	for next := began + 1; next <= newest; {
		event, err := skipping.Recv()
		if err != nil {
			t.Fatal(err)
		}
		first := max(event.GetReading().GetSeq(), event.GetState().GetSeq(), event.GetGap().GetFirstSeq())
		if first != next {
			t.Fatalf("the skipping watcher got %v, want what begins with entry %d", event, next)
		}
		if next++; event.GetGap() != nil {
			gaps++
			next = event.GetGap().GetLastSeq() + 1
		}
	}
	if gaps == 0 {
		t.Error("the skipping watcher was never told of a gap")
	}
}
