package server

import (
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	gaugedv1 "gauged/api/gauged/v1"
)

// TestLongTexts: a text of a request has a greatest length, so that no entry is larger
// than a list can hold, and what a refusal repeats of it fits beside an answer.
func TestLongTexts(t *testing.T) {
	r := newRig(t)
	_, err := r.jobs.StartJob(t.Context(), &gaugedv1.StartJobRequest{UnitSerial: strings.Repeat("x", 4097)})
	wantStatus(t, err, codes.InvalidArgument, "unit_serial has 4097 bytes, and at most 4096 are taken: nothing was done of it; say it shorter")
	_, err = r.jobs.StartJob(t.Context(), &gaugedv1.StartJobRequest{GaugeIds: map[string]string{strings.Repeat("x", 5000): "dial"}})
	wantStatus(t, err, codes.InvalidArgument, "gauge_ids has 5000 bytes, and at most 4096 are taken: nothing was done of it; say it shorter")
	_, err = r.jobs.StartJob(t.Context(), &gaugedv1.StartJobRequest{ProcedureId: strings.Repeat("ä", 2000), UnitSerial: "1", By: "t"})
	if s := status.Convert(err); s.Code() != codes.NotFound || len(s.Message()) > 2410 || !strings.HasSuffix(s.Message(), " ...") {
		t.Errorf("%d bytes: %v", len(s.Message()), err)
	}
}

// TestManyRefusals: a sender that counts from 1 again is told of each reading that was
// refused, in several answers; nothing is acknowledged before it is named.
func TestManyRefusals(t *testing.T) {
	r := newRig(t)
	stream, _ := r.open(t.Context(), "program")
	send(t, stream, &gaugedv1.IngestReadingsRequest{Readings: given(1, 5000)})
	for acknowledged(t, stream).GetDurableThroughSeq() < 5000 {
	}
	if err := stream.CloseSend(); err != nil {
		t.Fatal(err)
	}
	stream, _ = r.open(t.Context(), "program") // it was started again, and counts from 1
	again := given(1, 5001)
	for _, reading := range again[:5000] {
		reading.Shown = "9.999"
	}
	send(t, stream, &gaugedv1.IngestReadingsRequest{Readings: again})
	named := map[uint64]bool{}
	for through := uint64(5000); through < 5001; {
		a := acknowledged(t, stream)
		for _, refused := range a.GetRefused() {
			named[refused.GetSourceSeq()] = true
		}
		if through = a.GetDurableThroughSeq(); through == 5001 && len(named) != 5000 {
			t.Errorf("%d are named when 5001 is acknowledged", len(named))
		}
	}
	if len(named) != 5000 {
		t.Errorf("%d refusals are named", len(named))
	}
}

// TestLongIngestedTexts: a reading with a text longer than any gauge's is refused by its
// number, and its beginning kept.
func TestLongIngestedTexts(t *testing.T) {
	r := newRig(t)
	stream, _ := r.open(t.Context(), "program")
	readings := given(1, 3)
	readings[0].Raw = make([]byte, 4_000_000)
	readings[1].Shown = strings.Repeat("\x00", 100_000)
	send(t, stream, &gaugedv1.IngestReadingsRequest{Readings: readings})
	a := acknowledged(t, stream)
	if len(a.GetRefused()) != 2 || told(a.GetRefused()[0].GetReason()) != "raw of reading 1 has 4000000 bytes; at most 4096 are taken" || told(a.GetRefused()[1].GetReason()) != "shown of reading 2 has 100000 bytes; at most 100 are taken" {
		t.Errorf("refused %.300v", a.GetRefused())
	}
	rejects, err := r.history.ListRejects(t.Context(), &gaugedv1.ListRejectsRequest{})
	if err != nil || len(rejects.GetRejects()) != 2 || len(rejects.GetRejects()[0].GetRaw()) > 4096 {
		t.Errorf("%d rejects, %v", len(rejects.GetRejects()), err)
	}
}
