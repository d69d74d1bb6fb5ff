package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	pb "gauged/api/gauged/v1"
)

// debianPython is the interpreter whose packages python3-grpcio and
// python3-protobuf belong to.
const debianPython = "/usr/bin/python3"

// TestPythonClient generates a client from the protos with the system's
// compiler, and lets it watch readings and run a job on the real daemon.
func TestPythonClient(t *testing.T) {
	generated := pythonClient(t)
	tr := newTrial(t, socket+"PROCEDURES\n")
	tr.start()
	client := exec.Command(debianPython, "../../testdata/python/client.py", "unix:"+tr.path("s"), generated)
	client.Env = append(os.Environ(), "PYTHONDONTWRITEBYTECODE=1")
	out, err := client.CombinedOutput()
	if err != nil {
		t.Fatalf("the client: %v\n%s\nmake setup installs what is missing", err, out)
	}
	want := `recommended LR2-150
seen 46.415 46.412 46.418 45.030 45.036 0.012 0.190
measured 0.178 mm
conforms
error NOT_FOUND`
	if got := strings.TrimSpace(string(out)); got != want {
		t.Errorf("the client printed\n%s\nwant\n%s", got, want)
	}
}

// pythonClient generates the client and returns its directory.
func pythonClient(t *testing.T) string {
	t.Helper()
	generated := t.TempDir()
	protos, err := filepath.Glob("../../api/proto/gauged/v1/*.proto")
	if err != nil {
		t.Fatal(err)
	}
	protoc := exec.Command("protoc", append([]string{
		"-I../../api/proto", "--python_out=" + generated, "--grpc_python_out=" + generated,
		"--plugin=protoc-gen-grpc_python=" + program(t, "grpc_python_plugin"),
	}, protos...)...)
	if out, err := protoc.CombinedOutput(); err != nil {
		t.Fatalf("protoc: %v\n%s\nmake setup installs what is missing", err, out)
	}
	return generated
}

// TestPythonClientIsKilled: a client that keeps verdicts is killed while they come, and
// started again after more have come. It has each verdict once.
func TestPythonClientIsKilled(t *testing.T) {
	generated := pythonClient(t)
	tr := newTrial(t, socket+"PROCEDURES\n")
	tr.start()
	kept := tr.path("verdicts")
	lines := func() []string {
		text, _ := os.ReadFile(kept)
		return strings.Split(strings.TrimSuffix(string(text), "\n"), "\n")
	}
	follow := func() *exec.Cmd {
		client := exec.Command(debianPython, "../../testdata/python/verdicts.py", "unix:"+tr.path("s"), generated, kept)
		client.Env = append(os.Environ(), "PYTHONDONTWRITEBYTECODE=1")
		client.Stderr = tr.log
		if err := client.Start(); err != nil {
			t.Fatal(err)
		}
		return client
	}
	var ids []uint64
	work := func(jobs int) {
		for range jobs {
			ids = append(ids, tr.judged(fmt.Sprintf("V-%d", len(ids))))
		}
	}
	const rounds = 4
	for range rounds {
		before := len(lines())
		client := follow()
		work(5)
		tr.await("some verdicts are kept", func() bool { return len(lines()) > before+2 })
		killed(t, client)
		work(3) // while it is away
		if _, err := tr.jobs().DiscardReading(t.Context(), &pb.DiscardReadingRequest{JobId: ids[len(ids)-1], Reason: "slipped"}); err != nil {
			t.Fatal(err)
		}
	}
	var want []string
	for _, id := range ids {
		want = append(want, tr.verdicts(id)...)
	}
	client := follow()
	tr.await("all verdicts are kept", func() bool { return len(lines()) >= len(want) })
	killed(t, client)
	if got := lines(); !slices.Equal(got, want) || len(got) < rounds*8 {
		t.Errorf("kept were\n%v\nof\n%v", got, want)
	}
}

// judged is a job with the readings of a verdict.
func (tr *trial) judged(unit string) uint64 {
	tr.t.Helper()
	started, err := tr.jobs().StartJob(tr.t.Context(), &pb.StartJobRequest{ProcedureId: "idler-thrust-washer", UnitSerial: unit, By: "test"})
	if err != nil {
		tr.t.Fatal(err)
	}
	for _, shown := range []string{"0.0243", "0.0244"} {
		if _, err := tr.jobs().EnterReading(tr.t.Context(), &pb.EnterReadingRequest{JobId: started.GetJob().GetId(), Shown: shown, Unit: pb.Unit_UNIT_INCH}); err != nil {
			tr.t.Fatal(err)
		}
	}
	return started.GetJob().GetId()
}

// verdicts are those of a job that the history has, as the client keeps them.
func (tr *trial) verdicts(id uint64) (all []string) {
	tr.t.Helper()
	facts, err := tr.history().ListJobFacts(tr.t.Context(), &pb.ListJobFactsRequest{JobId: id})
	if err != nil {
		tr.t.Fatal(err)
	}
	for _, f := range facts.GetFacts() {
		if f.GetVerdict() != nil {
			all = append(all, fmt.Sprintf("%d %d %d", f.GetSeq(), id, f.GetVerdict().GetOutcome()))
		}
	}
	return all
}

// program finds a program that the tests need.
func program(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Fatalf("%v; make setup installs it", err)
	}
	return path
}
