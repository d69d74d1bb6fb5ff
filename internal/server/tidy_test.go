package server

import (
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	gaugedv1 "gauged/api/gauged/v1"
)

// TestTextsOfARequestAreTidy: a name is stored without the blanks around it, as a scanner
// sends them, and one with a control character in it is refused by its field.
func TestTextsOfARequestAreTidy(t *testing.T) {
	r := newRig(t)
	ctx := t.Context()
	start := &gaugedv1.StartJobRequest{ProcedureId: " ring ", UnitSerial: "SC-1\r\n", By: "\tM ", GaugeIds: map[string]string{" height": " line\n"}, RequestId: "one"}
	started, err := r.jobs.StartJob(ctx, start)
	if err != nil {
		t.Fatal(err)
	}
	j := started.GetJob()
	if j.GetUnitSerial() != "SC-1" || j.GetBy() != "M" {
		t.Errorf("serial %q by %q", j.GetUnitSerial(), j.GetBy())
	}
	// The same request with other blanks is the same request.
	start = proto.CloneOf(start)
	start.UnitSerial, start.By = " SC-1", "M"
	if again, err := r.jobs.StartJob(ctx, start); err != nil || again.GetJob().GetId() != j.GetId() {
		t.Errorf("again: %v, %v", again, err)
	}
	entered, err := r.jobs.EnterReading(ctx, &gaugedv1.EnterReadingRequest{JobId: j.GetId(), Shown: " 40.00 ", Unit: mm, Instrument: " mic ", By: "M"})
	if err != nil {
		t.Fatal(err)
	}
	if got := entered.GetReading(); got.GetGaugeId() != "typed: mic" || got.GetValue().GetText() != "40.00" {
		t.Errorf("%v", got)
	}
	before := r.Newest()
	_, err = r.jobs.StartJob(ctx, &gaugedv1.StartJobRequest{ProcedureId: "ring", UnitSerial: "SC\x1b[2J1", By: "M"})
	wantStatus(t, err, codes.InvalidArgument, "unit_serial has a control character, its character 3: nothing was done of it; leave it out")
	toldBy(t, "a control character", err)
	_, err = r.jobs.StartJob(ctx, &gaugedv1.StartJobRequest{ProcedureId: "ring", UnitSerial: "1", By: "M", GaugeIds: map[string]string{"a\x00b": "line"}})
	wantStatus(t, err, codes.InvalidArgument, "gauge_ids has a control character, its character 2: nothing was done of it; leave it out")
	_, err = r.jobs.StartJob(ctx, &gaugedv1.StartJobRequest{ProcedureId: "ring", UnitSerial: "1", By: "M", GaugeIds: map[string]string{"ab": "line\x00a"}})
	wantStatus(t, err, codes.InvalidArgument, `gauge_ids["ab"] has a control character, its character 5: nothing was done of it; leave it out`)
	// A name of blanks alone is no name.
	_, err = r.jobs.StartJob(ctx, &gaugedv1.StartJobRequest{ProcedureId: "ring", UnitSerial: "2", By: " \u00a0"})
	toldBy(t, "a name of blanks", err)
	if err == nil || r.Newest() != before {
		t.Errorf("%v; stored entries up to %d, not %d", err, r.Newest(), before)
	}
}

// rawCodec sends bytes as they are, as a client does that does not look at its texts.
type rawCodec struct{}

func (rawCodec) Marshal(v any) ([]byte, error)   { return v.([]byte), nil }
func (rawCodec) Unmarshal(b []byte, v any) error { return proto.Unmarshal(b, v.(proto.Message)) }
func (rawCodec) Name() string                    { return "proto" }

// TestTextsThatAreNotUTF8: the daemon is not at fault for what a client sends, in a call or
// in a stream.
func TestTextsThatAreNotUTF8(t *testing.T) {
	r := newRig(t)
	const want = "the request cannot be read: string field contains invalid UTF-8; nothing was done of it; send each text in UTF-8, and messages as the contract has them"
	latin1 := []byte{0x0a, 0x03, 'R', 0xe4, 'd'} // its field 1 is a text
	err := r.conn.Invoke(t.Context(), gaugedv1.JobService_StartJob_FullMethodName, latin1, &gaugedv1.StartJobResponse{}, grpc.ForceCodec(rawCodec{}))
	wantStatus(t, err, codes.InvalidArgument, want)
	toldBy(t, "a call", err)
	stream, err := r.conn.NewStream(t.Context(), &gaugedv1.GaugeService_ServiceDesc.Streams[0], gaugedv1.GaugeService_WatchReadings_FullMethodName, grpc.ForceCodec(rawCodec{}))
	if err != nil {
		t.Fatal(err)
	}
	if err := stream.SendMsg(latin1); err != nil {
		t.Fatal(err)
	}
	err = stream.RecvMsg(&gaugedv1.WatchReadingsResponse{})
	wantStatus(t, err, codes.InvalidArgument, want)
	toldBy(t, "a stream", err)
}
