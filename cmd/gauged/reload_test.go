package main

import (
	"os"
	"strings"
	"syscall"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "gauged/api/gauged/v1"
)

// TestReload: the real daemon takes a file that was edited by hand, and refuses
// a broken one with its place while the version before stays in force.
func TestReload(t *testing.T) {
	tr := newTrial(t, socket+"procedures: ring.yaml\nparts: rings.yaml\ngauges:\n  a: {layout: value-with-unit, port: a}\n")
	demo, err := os.ReadFile("../../deploy/demo/procedures/output-shaft-ring.yaml")
	if err != nil {
		t.Fatal(err)
	}
	parts, err := os.ReadFile("../../deploy/demo/parts/output-shaft-rings.yaml")
	if err != nil {
		t.Fatal(err)
	}
	tr.write("ring.yaml", string(demo))
	tr.write("rings.yaml", string(parts))
	tr.start()
	procedures := pb.NewProcedureServiceClient(tr.conn)
	edition := func() string {
		t.Helper()
		p, err := procedures.GetProcedure(t.Context(), &pb.GetProcedureRequest{ProcedureId: "output-shaft-ring"})
		if err != nil {
			t.Fatal(err)
		}
		return p.GetProcedure().GetEdition()
	}
	tr.write("ring.yaml", strings.Replace(string(demo), `edition: "1"`, `edition: "2"`, 1))
	answer, err := procedures.ReloadProcedures(t.Context(), &pb.ReloadProceduresRequest{})
	if err != nil || len(answer.GetChanged()) != 1 || edition() != "2" {
		t.Errorf("%v, edition %s, %v", answer, edition(), err)
	}
	tr.write("ring.yaml", strings.Replace(string(demo), `edition: "1"`, `edition: "3"`, 1))
	hangUp(t)
	tr.await("the files are read again", func() bool { return strings.Contains(tr.log.String(), "SIGHUP: procedures and parts were read again") })
	if edition() != "3" {
		t.Errorf("edition %s after SIGHUP", edition())
	}
	tr.write("ring.yaml", strings.Replace(string(demo), `unit: mm`, `unit: furlong`, 1))
	hangUp(t)
	tr.await("the log says why nothing changes", func() bool {
		return strings.Contains(tr.log.String(), "SIGHUP: nothing was put in force") && !strings.Contains(tr.log.String(), "refusal.")
	})
	_, err = procedures.ReloadProcedures(t.Context(), &pb.ReloadProceduresRequest{})
	if status.Code(err) != codes.FailedPrecondition || !strings.Contains(err.Error(), tr.path("ring.yaml")+`:6:7: unknown unit "furlong"`) || edition() != "3" {
		t.Errorf("edition %s, %v", edition(), err)
	}
}

func hangUp(t *testing.T) {
	t.Helper()
	if err := syscall.Kill(os.Getpid(), syscall.SIGHUP); err != nil {
		t.Fatal(err)
	}
}
