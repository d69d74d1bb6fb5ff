package server

import (
	"testing"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	gaugedv1 "gauged/api/gauged/v1"
)

// detail is the one detail of a kind that a status has.
func detail[D any](t *testing.T, err error) (d D) {
	t.Helper()
	for _, one := range status.Convert(err).Details() {
		if is, ok := one.(D); ok {
			return is
		}
	}
	t.Fatalf("no %T in %v", d, status.Convert(err).Details())
	return d
}

// TestRefusalsSayTheirPlace: a refusal at a place has the arguments that are published of its
// code, several have the field of each, and a number of 64 bits is told as it was given.
func TestRefusalsSayTheirPlace(t *testing.T) {
	r := newRig(t)
	health := gaugedv1.NewHealthServiceClient(r.conn)
	_, err := r.jobs.EnterReading(t.Context(), &gaugedv1.EnterReadingRequest{JobId: r.start(nil).GetId(), Shown: "25.40", By: "M"})
	if info := detail[*errdetails.ErrorInfo](t, err); info.GetReason() != "UNIT_MISSING" || info.GetMetadata()["text"] != "25.40" ||
		info.GetMetadata()["written"] != "25.40 mm, 25.40 in, 25.40 um" || info.GetMetadata()["place"] != "depth" {
		t.Errorf("%v", info)
	}
	_, err = health.BeginCheck(t.Context(), &gaugedv1.BeginCheckRequest{GaugeId: "micrometer", By: "M", MasterIds: []string{"none", "zero", "nought"}})
	if bad := detail[*errdetails.BadRequest](t, err).GetFieldViolations(); len(bad) != 2 || bad[0].GetField() != "master_ids[0]" || bad[1].GetField() != "master_ids[2]" ||
		bad[1].GetReason() != "MASTER_MISSING" || bad[1].GetDescription() == "" {
		t.Errorf("%v", bad)
	}
	_, err = r.jobs.GetJob(t.Context(), &gaugedv1.GetJobRequest{JobId: 1<<64 - 1})
	wantStatus(t, err, codes.NotFound, "there is no job 18446744073709551615")
}

// TestUnknownValuesAreRefused: a value that a closed list of the contract does not have is
// refused by its field, wherever it stands.
func TestUnknownValuesAreRefused(t *testing.T) {
	r := newRig(t)
	health := gaugedv1.NewHealthServiceClient(r.conn)
	_, err := health.SetStanding(t.Context(), &gaugedv1.SetStandingRequest{GaugeId: "micrometer", By: "M", Reason: "r", Standing: 99})
	const rest = " has the value 99, which is not known here: nothing was done of it; use one that the contract of this daemon has"
	wantStatus(t, err, codes.InvalidArgument, "standing"+rest)
	toldBy(t, "a standing", err)
	_, err = health.ListChecks(t.Context(), &gaugedv1.ListChecksRequest{GaugeId: "micrometer", Verdict: 99})
	wantStatus(t, err, codes.InvalidArgument, "verdict"+rest)
	_, err = health.RecordCheck(t.Context(), &gaugedv1.RecordCheckRequest{GaugeId: "micrometer", By: "M", Found: []*gaugedv1.CheckPoint{
		{MasterId: "zero"}, {MasterId: "zero", Typed: []*gaugedv1.TypedReading{{Shown: "0", Unit: 99}}},
	}})
	wantStatus(t, err, codes.InvalidArgument, "found[1].typed[0].unit"+rest)
}
