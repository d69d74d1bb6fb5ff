package server

import (
	"context"
	"testing"

	"google.golang.org/grpc/codes"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/gauge"
	"gauged/internal/library"
)

// filesFunc are files whose reload is a function.
type filesFunc func() ([]library.File, error)

func (f filesFunc) Reload(context.Context) ([]library.File, error) { return f() }

func TestReloadProcedures(t *testing.T) {
	changed := func() ([]library.File, error) {
		return []library.File{{Kind: library.KindParts, ID: "rings", Hash: "aa"}}, nil
	}
	refused := func() ([]library.File, error) {
		return nil, gauge.Refused("refusal.files.problems", gauge.Text("problems", "ring.yaml:1:1: broken"))
	}
	answer, err := (&procedureService{files: filesFunc(changed)}).ReloadProcedures(t.Context(), nil)
	if err != nil || len(answer.GetChanged()) != 1 || answer.GetChanged()[0].GetKind() != gaugedv1.FileKind_FILE_KIND_PART_FAMILY || answer.GetChanged()[0].GetId() != "rings" || answer.GetChanged()[0].GetHash() != "aa" {
		t.Errorf("%v, %v", answer, err)
	}
	_, err = (&procedureService{files: filesFunc(refused)}).ReloadProcedures(t.Context(), nil)
	if st := statusOf(err); st.Code() != codes.FailedPrecondition || st.Message() != "the files have problems, and what was in force stays so:\nring.yaml:1:1: broken" {
		t.Errorf("%v", st)
	}
	r := newRig(t) // without files
	_, err = r.procedures.ReloadProcedures(t.Context(), &gaugedv1.ReloadProceduresRequest{})
	if st := statusOf(err); st.Code() != codes.FailedPrecondition || st.Message() != "this daemon has no files of procedures" {
		t.Errorf("%v", st)
	}
}
