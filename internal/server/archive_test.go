package server

import (
	"path/filepath"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/history"
	"gauged/internal/history/chain"
)

// TestHistoryProvesItself: the head that the daemon tells is one that its history agrees
// with, and its copy too; another head is not.
func TestHistoryProvesItself(t *testing.T) {
	r := newRig(t)
	info, err := gaugedv1.NewServerServiceClient(r.conn).GetServerInfo(t.Context(), &gaugedv1.GetServerInfoRequest{})
	if err != nil {
		t.Fatal(err)
	}
	head := info.GetHead()
	v, err := r.history.VerifyHistory(t.Context(), &gaugedv1.VerifyHistoryRequest{Head: head.GetLine()})
	if err != nil || v.GetDifference() != nil || !v.GetHeadHeld() || !v.GetHeadSigned() || v.GetThroughSeq() < head.GetSeq() || len(info.GetStationKey()) != 32 {
		t.Errorf("%v, %v", v, err)
	}
	path := filepath.Join(t.TempDir(), "copy.db")
	b, err := r.history.BackUpHistory(t.Context(), &gaugedv1.BackUpHistoryRequest{Path: path})
	if err != nil {
		t.Fatal(err)
	}
	heads, err := chain.ParseHeads(b.GetHead().GetLine())
	if err != nil || len(heads) != 1 || !heads[0].SignedBy(info.GetStationKey()) {
		t.Errorf("%v, %v", b, err)
	}
	if v, err := history.CheckFile(t.Context(), path, heads...); err != nil || v.Difference != nil || len(v.Held) != 1 {
		t.Errorf("the copy: %+v, %v", v, err)
	}
	_, err = r.history.BackUpHistory(t.Context(), &gaugedv1.BackUpHistoryRequest{Path: path})
	toldBy(t, "over the copy", err)
	if got := status.Code(err); got != codes.FailedPrecondition {
		t.Errorf("over the copy: %v", err)
	}
	_, err = r.history.BackUpHistory(t.Context(), &gaugedv1.BackUpHistoryRequest{Path: "copy.db"})
	toldBy(t, "a relative path", err)
	_, err = r.history.VerifyHistory(t.Context(), &gaugedv1.VerifyHistoryRequest{Head: "nothing"})
	toldBy(t, "no head", err)
	v, err = r.history.VerifyHistory(t.Context(), &gaugedv1.VerifyHistoryRequest{Head: "999999 9f86d081884c7d65"})
	if err != nil || v.GetHeadHeld() || v.GetDifference().GetDeviation() != gaugedv1.HistoryDeviation_HISTORY_DEVIATION_CUT_SHORT || v.HeadSigned != nil {
		t.Errorf("%v, %v", v, err)
	}
}
